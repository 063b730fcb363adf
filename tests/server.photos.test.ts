import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { TestShop } from './server.shop.ts';
import { headersOf, type SignedIn } from './signed-in.ts';

let shop: TestShop;
let desk: SignedIn;

beforeAll(async () => {
  const free = { calls: 1e6, seconds: 1 };
  shop = await TestShop.open({ limits: { address: free, door: free, person: free } });
  desk = await shop.person('Pia Desk', 'desk');
});

afterAll(async () => {
  await shop.close();
});

describe('photos', () => {
  const send = (bytes: Uint8Array, type = 'image/jpeg') =>
    shop.send('/api/photos', {
      method: 'POST',
      headers: { ...headersOf(desk), 'content-type': type },
      body: new Uint8Array(bytes),
    });
  const JPEG = Uint8Array.of(0xff, 0xd8, 0xff, 0xe0, 1, 2, 3, 0xff, 0xd9);
  const PNG = Uint8Array.of(0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a, 1);
  const WEBP = Uint8Array.from(Buffer.from('RIFF\x04\0\0\0WEBPVP8 ', 'latin1'));

  test.each([
    ['JPEG', JPEG, 'image/jpeg', 'jpg'],
    ['PNG', PNG, 'image/png', 'png'],
    ['WebP', WEBP, 'image/webp', 'webp'],
  ])('come back as they were sent: %s', async (_, bytes, type, ending) => {
    const answer = await send(bytes, type);
    const { hash } = (await answer.json()) as { hash: string };
    const back = await shop.send(`/api/photos/${hash}`, { headers: headersOf(desk) });
    expect(new Uint8Array(await back.arrayBuffer())).toEqual(bytes);
    expect(back.headers.get('content-type')).toBe(type);
    expect(back.headers.get('x-content-type-options')).toBe('nosniff');
    expect(back.headers.get('content-disposition')).toBe(`attachment; filename="${hash.slice(0, 12)}.${ending}"`);
  });

  test.each([
    ['HTML that calls itself a picture', Buffer.from('<html><script>alert(1)</script>'), 'image/png', 415],
    ['SVG', Buffer.from('<svg xmlns="http://www.w3.org/2000/svg"/>'), 'image/svg+xml', 415],
    ['nothing', Buffer.alloc(0), 'image/jpeg', 415],
    ['more than 3 MB', Buffer.alloc(3_000_001, 0xff), 'image/jpeg', 413],
  ])('%s is refused', async (_, bytes, type, status) => {
    expect((await send(bytes, type)).status).toBe(status);
  });

  test('are known by what they are, not by what was said of them', async () => {
    const { hash } = (await (await send(PNG, 'image/jpeg')).json()) as { hash: string };
    const back = await shop.send(`/api/photos/${hash}`, { headers: headersOf(desk) });
    expect(back.headers.get('content-type')).toBe('image/png');
  });

  /** TIFF 6.0: byte order, 42, offset of the first directory; a directory is a count and entries of 12 bytes. */
  function exif(little: boolean, ...tags: number[]): Buffer {
    const block = Buffer.alloc(8 + 2 + tags.length * 12 + 4);
    block.write(little ? 'II*\0' : 'MM\0*', 'latin1');
    if (little) block.writeUInt32LE(8, 4);
    else block.writeUInt32BE(8, 4);
    const short = (value: number, at: number) =>
      little ? block.writeUInt16LE(value, at) : block.writeUInt16BE(value, at);
    short(tags.length, 8);
    tags.forEach((tag, i) => short(tag, 10 + i * 12));
    return block;
  }

  const app1 = (block: Buffer) =>
    Buffer.concat([
      Buffer.from([0xff, 0xd8, 0xff, 0xe1, 0, block.length + 8]),
      Buffer.from('Exif\0\0'),
      block,
      Buffer.from([0xff, 0xd9]),
    ]);
  const ORIENTATION = 0x0112;
  const GPS = 0x8825;
  const places: [string, Buffer, number][] = [
    ['Exif with a place, little-endian', app1(exif(true, ORIENTATION, GPS)), 422],
    ['Exif with a place, big-endian', app1(exif(false, ORIENTATION, GPS)), 422],
    ['Exif that says how it was held', app1(exif(true, ORIENTATION)), 200],
    ['Exif cut off in the middle', app1(exif(true, ORIENTATION, GPS).subarray(0, 20)), 200],
    ['XMP with a place', Buffer.concat([Buffer.from(JPEG), Buffer.from('<exif:GPSLatitude>48,8N')]), 422],
    ['a PNG with a place', Buffer.concat([Buffer.from(PNG), Buffer.from('eXIf'), exif(false, GPS)]), 422],
    ['a WebP with a place', Buffer.concat([Buffer.from(WEBP), Buffer.from('EXIF'), exif(true, GPS)]), 422],
  ];
  test.each(places)('%s: %#', async (_, bytes, status) => {
    expect((await send(bytes)).status).toBe(status);
  });

  test.each([
    '..%2f..%2fetc%2fpasswd',
    '%2e%2e',
    'record.db',
    'A'.repeat(64),
    `${'a'.repeat(64)}%00.jpg`,
    'a'.repeat(63),
    "' or 1=1",
  ])('go by their hash and nothing else: %s', async (name) => {
    const answer = await shop.send(`/api/photos/${name}`, { headers: headersOf(desk) });
    expect(answer.status).toBe(404);
    expect(await answer.json()).toHaveProperty('error');
  });
});
