import { randomBytes, scrypt, timingSafeEqual } from 'node:crypto';
import { Unavailable } from '../log/contract.ts';

/**
 * A PIN as it is kept: scrypt (RFC 7914), 32 MiB a try, a salt each. Ten thousand PINs of four digits are few: against
 * guessing at the door stands the lock-out (people.ts), against guessing from a stolen database only the work of each try.
 */
const COST = { N: 2 ** 15, r: 8, p: 1 } as const;
const LENGTH = 32;

/** Tries that run at once: each takes 32 MiB, and nobody may fill the machine with them. */
const AT_ONCE = 2;
/** Tries that wait for their turn; past them it is an attack, and waiting longer helps nobody. */
const MOST_WAITING = 50;
let running = 0;
const waiting: (() => void)[] = [];

/** How many PINs are being tried on this machine, and how many wait for their turn. */
export function pinsTried(): { readonly running: number; readonly waiting: number } {
  return { running, waiting: waiting.length };
}

/** `scrypt$N$r$p$SALT$HASH`, so that a later version may raise the cost. */
export async function hashPin(pin: string): Promise<string> {
  const salt = randomBytes(16);
  const hash = await derive(pin, salt, COST);
  return ['scrypt', COST.N, COST.r, COST.p, salt.toString('base64url'), hash.toString('base64url')].join('$');
}

/** Takes the same time whatever is wrong with it. */
export async function isPin(pin: string, kept: string): Promise<boolean> {
  const [kind, N, r, p, salt, hash] = kept.split('$');
  if (kind !== 'scrypt' || salt === undefined || hash === undefined) throw new Error('a kept PIN can not be read');
  const tried = await derive(pin, Buffer.from(salt, 'base64url'), { N: Number(N), r: Number(r), p: Number(p) });
  const is = Buffer.from(hash, 'base64url');
  return is.length === tried.length && timingSafeEqual(is, tried);
}

interface Cost {
  readonly N: number;
  readonly r: number;
  readonly p: number;
}

async function derive(pin: string, salt: Buffer, cost: Cost): Promise<Buffer> {
  if (waiting.length >= MOST_WAITING) throw new Unavailable('too many PINs are tried at once: try again in a moment');
  if (running >= AT_ONCE) await new Promise<void>((go) => waiting.push(go));
  else running++;
  try {
    return await new Promise((done, failed) => {
      const options = { ...cost, maxmem: 256 * cost.N * cost.r };
      scrypt(pin, salt, LENGTH, options, (error, key) => (error ? failed(error) : done(key)));
    });
  } finally {
    // Whoever waits longest takes the place over.
    const next = waiting.shift();
    if (next) next();
    else running--;
  }
}
