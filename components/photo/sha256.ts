/**
 * SHA-256 in hexadecimal (FIPS 180-4, section 6.2). Browsers have it only on https and on this machine itself; on a
 * plain http address of the shop the page does it by hand.
 */
export async function sha256(bytes: Uint8Array<ArrayBuffer>): Promise<string> {
  const { subtle } = globalThis.crypto as Partial<Crypto>;
  return hex(subtle ? new Uint8Array(await subtle.digest('SHA-256', bytes)) : digest(bytes));
}

/** The same without the help of the browser. */
export function digest(bytes: Uint8Array): Uint8Array {
  const hash = Uint32Array.from(START);
  const data = new DataView(padded(bytes).buffer);
  const w = new Uint32Array(64);
  for (let at = 0; at < data.byteLength; at += 64) {
    for (let t = 0; t < 64; t++) w[t] = t < 16 ? data.getUint32(at + t * 4) : schedule(w, t);
    compress(hash, w);
  }
  const out = new DataView(new ArrayBuffer(32));
  hash.forEach((word, i) => out.setUint32(i * 4, word));
  return new Uint8Array(out.buffer);
}

/** A one, zeros, and the length in bits, up to whole blocks (5.1.1). */
function padded(bytes: Uint8Array): Uint8Array<ArrayBuffer> {
  const whole = new Uint8Array(Math.ceil((bytes.length + 9) / 64) * 64);
  whole.set(bytes);
  whole[bytes.length] = 0x80;
  const end = new DataView(whole.buffer, whole.length - 8);
  end.setUint32(0, Math.floor(bytes.length / 2 ** 29));
  end.setUint32(4, (bytes.length << 3) >>> 0);
  return whole;
}

const turned = (x: number, by: number) => (x >>> by) | (x << (32 - by));

function schedule(w: Uint32Array, t: number): number {
  const at = (back: number) => w[t - back] as number;
  const s0 = turned(at(15), 7) ^ turned(at(15), 18) ^ (at(15) >>> 3);
  const s1 = turned(at(2), 17) ^ turned(at(2), 19) ^ (at(2) >>> 10);
  return s1 + at(7) + s0 + at(16);
}

type Eight = [number, number, number, number, number, number, number, number];

function compress(hash: Uint32Array, w: Uint32Array): void {
  let [a, b, c, d, e, f, g, h] = hash as unknown as Eight;
  for (let t = 0; t < 64; t++) {
    const s1 = turned(e, 6) ^ turned(e, 11) ^ turned(e, 25);
    const t1 = (h + s1 + ((e & f) ^ (~e & g)) + (ROUND[t] as number) + (w[t] as number)) | 0;
    const s0 = turned(a, 2) ^ turned(a, 13) ^ turned(a, 22);
    const t2 = (s0 + ((a & b) ^ (a & c) ^ (b & c))) | 0;
    [h, g, f, e, d, c, b, a] = [g, f, e, (d + t1) | 0, c, b, a, (t1 + t2) | 0];
  }
  [a, b, c, d, e, f, g, h].forEach((word, i) => {
    hash[i] = (hash[i] as number) + word;
  });
}

function hex(bytes: Uint8Array): string {
  return [...bytes].map((byte) => byte.toString(16).padStart(2, '0')).join('');
}

/** The first 32 bits of the fractional part of a root of each of the first primes (4.2.2, 5.3.3). */
function roots(count: number, power: number): number[] {
  const primes: number[] = [];
  for (let n = 2; primes.length < count; n++) if (primes.every((p) => n % p !== 0)) primes.push(n);
  return primes.map((p) => ((p ** power % 1) * 2 ** 32) >>> 0);
}

const START = roots(8, 1 / 2);
const ROUND = roots(64, 1 / 3);
