const MOST_PIXELS = 1600;
const QUALITY = 0.85;

/**
 * The picture as it is kept: at most 1600 px on its longer side, written anew as JPEG, so that nothing but what is seen
 * goes with it (place, time and tablet are left behind). Throws where the browser cannot read it.
 */
export async function shrink(picture: Blob | HTMLVideoElement): Promise<Blob> {
  // Turned the way it was held: that is written beside the picture, and is left behind as well.
  const bitmap = await createImageBitmap(picture, { imageOrientation: 'from-image' });
  const scale = Math.min(1, MOST_PIXELS / Math.max(bitmap.width, bitmap.height));
  const canvas = document.createElement('canvas');
  canvas.width = Math.max(1, Math.round(bitmap.width * scale));
  canvas.height = Math.max(1, Math.round(bitmap.height * scale));
  const context = canvas.getContext('2d');
  if (!context) throw new Error('this browser draws no pictures');
  context.fillStyle = '#fff';
  context.fillRect(0, 0, canvas.width, canvas.height);
  context.drawImage(bitmap, 0, 0, canvas.width, canvas.height);
  bitmap.close();
  const blob = await new Promise<Blob | null>((resolve) => canvas.toBlob(resolve, 'image/jpeg', QUALITY));
  if (!blob) throw new Error('this browser writes no pictures');
  return blob;
}
