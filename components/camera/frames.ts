/** Bars are read along lines of the picture: held askew, they are turned straight first (degrees, common practice, no source). */
export const TURNS = [0, 7, -7, 14, -14] as const;

const MOST_WIDE = 1400;

/** The picture, or the part of it in the guide, turned by so many degrees. */
export function turned(
  picture: CanvasImageSource,
  size: { readonly width: number; readonly height: number },
  degrees: number,
  part: { readonly wide: number; readonly high: number } = { wide: 1, high: 1 },
): ImageData {
  const [wide, high] = [size.width * part.wide, size.height * part.high];
  const scale = Math.min(1, MOST_WIDE / Math.max(wide, high));
  const canvas = document.createElement('canvas');
  canvas.width = Math.max(1, Math.round(wide * scale));
  canvas.height = Math.max(1, Math.round(high * scale));
  const context = canvas.getContext('2d', { willReadFrequently: true });
  if (!context) throw new Error('this browser draws no pictures');
  context.fillStyle = '#fff';
  context.fillRect(0, 0, canvas.width, canvas.height);
  context.translate(canvas.width / 2, canvas.height / 2);
  context.rotate((degrees * Math.PI) / 180);
  context.scale(scale, scale);
  context.drawImage(picture, -size.width / 2, -size.height / 2);
  return context.getImageData(0, 0, canvas.width, canvas.height);
}
