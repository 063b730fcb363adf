import { svg, type TemplateResult } from 'lit';
import { create } from 'qrcode';

/** A QR code (ISO/IEC 18004) of a short text, drawn as shapes; four modules of quiet zone round it. */
export function squareCode(text: string): TemplateResult<2> {
  const { modules } = create(text, { errorCorrectionLevel: 'M' });
  const { size, data } = modules;
  const dark = Array.from(data, (bit, i) => (bit ? `M${i % size} ${Math.floor(i / size)}h1v1h-1z` : '')).join('');
  return svg`<svg class="qr" viewBox=${`-4 -4 ${size + 8} ${size + 8}`} role="img" aria-label=${`Square code of ${text}`} shape-rendering="crispEdges">
    <path d=${`M-4 -4h${size + 8}v${size + 8}h-${size + 8}z`} fill="#fff" /><path d=${dark} fill="#000" />
  </svg>`;
}
