import type { PhotoType } from '../store/log/contract.ts';
import { No } from './refusal.ts';

/**
 * What a picture is, by its first bytes and not by what was said of it. Throws No if it is none, or if it says where it
 * was taken: the hash in the record is that of these bytes, so nothing can be stripped here.
 */
export function mustBePhoto(bytes: Uint8Array): PhotoType {
  const type = typeOf(bytes);
  if (!type) throw new No(415, 'these bytes are no JPEG, PNG or WebP picture');
  if (saysWhere(bytes)) throw new No(422, 'the picture says where it was taken: send it redrawn, without that');
  return type;
}

function typeOf(bytes: Uint8Array): PhotoType | undefined {
  const starts = (at: number, ...are: number[]) => are.every((byte, i) => bytes[at + i] === byte);
  if (starts(0, 0xff, 0xd8, 0xff)) return 'image/jpeg';
  if (starts(0, 0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a)) return 'image/png';
  if (starts(0, 0x52, 0x49, 0x46, 0x46) && starts(8, 0x57, 0x45, 0x42, 0x50)) return 'image/webp';
  return undefined;
}

/**
 * Wherever in the file: a block of Exif (a TIFF header, CIPA DC-008) whose first directory points to GPS data, or
 * XMP text that names a place. Looked for in all bytes, so that no container has to be followed.
 */
function saysWhere(bytes: Uint8Array): boolean {
  const file = Buffer.from(bytes.buffer, bytes.byteOffset, bytes.length);
  if (file.includes('GPSLatitude') || file.includes('GPSLongitude')) return true;
  for (const header of ['II*\0', 'MM\0*'])
    for (let at = file.indexOf(header, 0, 'latin1'); at >= 0; at = file.indexOf(header, at + 4, 'latin1'))
      if (pointsToGps(file.subarray(at), header === 'II*\0')) return true;
  return false;
}

/** TIFF 6.0: a directory is a count and entries of 12 bytes, each beginning with its tag. */
const GPS_TAG = 0x8825;
const MOST_ENTRIES = 500;

function pointsToGps(tiff: Buffer, little: boolean): boolean {
  const short = (at: number) => (at + 2 > tiff.length ? 0 : little ? tiff.readUInt16LE(at) : tiff.readUInt16BE(at));
  const long = (at: number) => (at + 4 > tiff.length ? 0 : little ? tiff.readUInt32LE(at) : tiff.readUInt32BE(at));
  const directory = long(4);
  if (directory < 8) return false;
  const entries = Math.min(short(directory), MOST_ENTRIES);
  return Array.from({ length: entries }, (_, i) => short(directory + 2 + i * 12)).includes(GPS_TAG);
}
