import { z } from 'zod';
import { PhotoHash } from '../../job/values.ts';
import { PHOTO_TYPES } from '../../store/log/contract.ts';
import type { Doors } from '../doors.ts';
import { mustBePhoto } from '../photo.ts';
import { No } from '../refusal.ts';
import { type Route, route } from '../route.ts';

/** A tablet scales what it takes; this is several times the largest that it sends. */
const MOST_BYTES = 3_000_000;
const ENDING = { 'image/jpeg': 'jpg', 'image/png': 'png', 'image/webp': 'webp' } as const;

/** Pictures, by the SHA-256 of their bytes. */
export function photoRoutes({ log }: Doors): Route[] {
  return [
    route({
      method: 'post',
      path: '/api/photos',
      about: 'Keeps a picture. One that says where it was taken is refused.',
      who: ['technician', 'foreman', 'desk'],
      body: { types: PHOTO_TYPES, most: MOST_BYTES },
      answer: z.strictObject({ hash: PhotoHash }),
      does: async ({ body }) => ({ hash: await log.putPhoto(body, mustBePhoto(body)) }),
    }),
    route({
      method: 'get',
      path: '/api/photos/{hash}',
      about: 'A picture as it was kept.',
      who: 'signed-in',
      answer: PHOTO_TYPES,
      does: async ({ c, param }) => {
        const hash = PhotoHash.safeParse(param('hash'));
        const photo = hash.success ? await log.photo(hash.data) : undefined;
        if (!photo) throw new No(404, 'there is no such photo');
        if (!photo.bytes) throw new No(404, 'this photo was removed; its hash stays in the record');
        return c.body(new Uint8Array(photo.bytes), 200, {
          'content-type': photo.type,
          'content-disposition': `attachment; filename="${photo.hash.slice(0, 12)}.${ENDING[photo.type]}"`,
          'cache-control': 'private, max-age=31536000, immutable',
        });
      },
    }),
  ];
}
