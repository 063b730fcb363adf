import { randomInt, timingSafeEqual } from 'node:crypto';
import type { FirstCodes } from '../store/shop/first-code.ts';

/** Without those that are mistaken for another. */
const LETTERS = 'ABCDEFGHJKLMNPQRSTUVWXYZ23456789';
const LENGTH = 8;

/** The code that `serve` prints while nobody works here: whoever can read that screen makes the first foreman. */
export class FirstCode {
  constructor(readonly text: string = fresh()) {}

  /** The one that all servers of a site take; where somebody works already, one that nobody is told. Throws Unavailable. */
  static async of(codes: FirstCodes): Promise<FirstCode> {
    const own = fresh();
    return new FirstCode((await codes.standing(own)) ?? own);
  }

  /** As it is typed: any case, with spaces or hyphens. */
  is(typed: string): boolean {
    const plain = Buffer.from(typed.toUpperCase().replaceAll(/[\s-]/g, ''));
    const own = Buffer.from(this.text);
    return plain.length === own.length && timingSafeEqual(plain, own);
  }
}

function fresh(): string {
  return Array.from({ length: LENGTH }, () => LETTERS[randomInt(LETTERS.length)]).join('');
}
