import { prepareZXingModule, readBarcodes } from 'zxing-wasm/reader';
// Of this page's own making: left to itself the reader fetches it from a host outside.
import wasm from 'zxing-wasm/reader/zxing_reader.wasm?url';
import type { Read } from './label.ts';

prepareZXingModule({
  overrides: { locateFile: (path: string, folder: string) => (path.endsWith('.wasm') ? wasm : folder + path) },
});

/** Every code that a VIN label may carry and that is in the picture. */
export async function codesIn(picture: ImageData): Promise<Read[]> {
  const found = await readBarcodes(picture, {
    formats: ['Code39', 'Code128', 'DataMatrix', 'QRCode'],
    tryHarder: true,
    tryRotate: true,
    maxNumberOfSymbols: 4,
  });
  return found
    .filter(({ isValid }) => isValid)
    .map(({ text, format }) => ({ text, corrects: format === 'DataMatrix' || format === 'QRCode' }));
}
