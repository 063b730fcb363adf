import { randomInt, timingSafeEqual } from 'node:crypto';

/** Without those that are mistaken for another. */
const LETTERS = 'ABCDEFGHJKLMNPQRSTUVWXYZ23456789';
const LENGTH = 8;

/** The code that `serve` prints while nobody works here: whoever can read that screen makes the first foreman. */
export class FirstCode {
  readonly text: string;

  constructor() {
    this.text = Array.from({ length: LENGTH }, () => LETTERS[randomInt(LETTERS.length)]).join('');
  }

  /** As it is typed: any case, with spaces or hyphens. */
  is(typed: string): boolean {
    const plain = Buffer.from(typed.toUpperCase().replaceAll(/[\s-]/g, ''));
    const own = Buffer.from(this.text);
    return plain.length === own.length && timingSafeEqual(plain, own);
  }
}
