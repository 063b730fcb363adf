import type { Job } from './state.ts';
import type { Values } from './values.ts';

/** A photo counts once it is in the job, not when somebody names its hash. */
export function missingPhotos(values: Values | undefined, job: Job): string[] {
  return Object.values(values ?? {}).flatMap((value) => {
    const hash = value.kind === 'photo' ? value.hash : value.kind === 'not-supported' ? value.photo : undefined;
    return hash === undefined || job.photos.has(hash)
      ? []
      : [`photo ${hash.slice(0, 8)} is not in the job: attach it first`];
  });
}
