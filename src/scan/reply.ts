/** Hex replies of a scan tool as people type or paste them: which module said what. Knows layers, not meanings. */

export interface Reply {
  /** Address of the module, as its header has it; null where the line has none. */
  readonly module: string | null;
  /** Service of the reply: `0x41` answers service $01. */
  readonly service: number;
  /** What stands behind the service. */
  readonly data: readonly number[];
  /** True where the length was told by the frame, so that no filling is left in `data`. */
  readonly exact: boolean;
  readonly line: number;
}

/** A sentence about a line that could not be used, or only in part. */
export interface ReplyFault {
  readonly line: number;
  readonly text: string;
  readonly message: string;
  readonly hint?: string;
  /** `broken`: something was said here and is lost; `other`: nothing of ours is lost. */
  readonly kind: 'broken' | 'other';
}

export interface Replies {
  readonly replies: readonly Reply[];
  readonly faults: readonly ReplyFault[];
}

interface Frame {
  readonly module: string | null;
  readonly bytes: readonly number[];
  /** `can`: the first byte is the frame's own control byte (ISO 15765-2). */
  readonly kind: 'can' | 'bare' | 'serial';
}

/** Words that tools print between replies. */
const CHATTER = /^(?:SEARCHING\.*|BUS INIT\b.*|OK|ELM\d.*|AT\w*|STOPPED|\?)$/i;
const SILENCE = /NO DATA|UNABLE TO CONNECT|CAN ERROR|BUS ERROR|NO RESPONSE/i;

/** An answer of which more is to come. */
interface Begun {
  readonly want: number;
  readonly bytes: number[];
  readonly line: number;
  readonly text: string;
  next: number;
}

/**
 * Reads one reply a line, with or without blanks and headers: 11-bit (`7E8 06 41 01 ...`), 29-bit (`18 DA F1 10 ...`),
 * the three header bytes and check sum of the serial buses, numbered parts (`0: 43 ...`), long answers over several
 * frames. Lines of plain words are passed over. Every line that looks like a reply and is none is told with its reason.
 */
export function readReplies(text: string): Replies {
  const reader = new ReplyReader();
  text.split(/\r\n|[\n\r]/).forEach((line, i) => reader.line(line, i + 1));
  return reader.end();
}

class ReplyReader {
  private readonly replies: Reply[] = [];
  private readonly faults: ReplyFault[] = [];
  /** Over several frames, by module. */
  private readonly open = new Map<string, Begun>();
  /** In numbered parts; there the module is not told. */
  private parts: Begun | null = null;

  line(raw: string, line: number): void {
    const text = raw.trim().slice(0, 80);
    const body = raw.replace(/^[\s>]+/, '').trimEnd();
    if (body === '' || CHATTER.test(body)) return;
    if (SILENCE.test(body)) return this.fault(line, text, 'the car gave no answer', 'other');
    if (this.part(body, line, text)) return;
    this.endParts();
    if (/^0[0-9A-F]{2}$/i.test(body)) {
      this.parts = { want: Number.parseInt(body, 16), bytes: [], line, text, next: 0 };
      return;
    }
    const frame = frameIn(body, line, text, this.faults);
    if (frame?.kind === 'can') this.frame(frame, line, text);
    else if (frame) this.take(frame.module, frame.bytes, frame.kind === 'serial', line, text);
  }

  end(): Replies {
    this.endParts();
    for (const [module, { want, bytes, line, text }] of this.open)
      this.fault(line, text, `reply of ${module} is cut short: ${bytes.length} of ${want} bytes`);
    return { replies: this.replies, faults: this.faults };
  }

  private take(module: string | null, bytes: readonly number[], exact: boolean, line: number, text: string): void {
    const [service, ...data] = bytes;
    if (service === 0x7f)
      this.fault(line, text, `the module refused service $${hex(data[0] ?? 0)} (reason ${hex(data[1] ?? 0)})`, 'other');
    // Below $40 it is a request, which tools echo.
    else if (service !== undefined && service >= 0x40) this.replies.push({ module, service, data, exact, line });
  }

  /** `0: 43 03 ...` and on; true where the line is such a part. */
  private part(body: string, line: number, text: string): boolean {
    const part = /^([0-9A-F]) ?: ?(.*)$/i.exec(body);
    if (!part) return false;
    this.parts ??= { want: Number.POSITIVE_INFINITY, bytes: [], line, text, next: 0 };
    this.parts.bytes.push(...(bytesIn(part[2] ?? '', line, text, this.faults) ?? []));
    return true;
  }

  private endParts(): void {
    if (!this.parts) return;
    const { want, bytes, line, text } = this.parts;
    this.parts = null;
    if (Number.isFinite(want) && bytes.length < want)
      this.fault(line, text, `is cut short: ${bytes.length} of ${want} bytes`);
    else this.take(null, bytes.slice(0, Math.min(want, bytes.length)), Number.isFinite(want), line, text);
  }

  /** A frame of ISO 15765-2: single, first of several, or one that follows. */
  private frame({ module, bytes }: Frame, line: number, text: string): void {
    const [control = 0, ...rest] = bytes;
    const key = module ?? '';
    const low = control & 0xf;
    if (control >> 4 === 0) {
      if (low === 0 || rest.length < low) this.fault(line, text, `is cut short: ${rest.length} of ${low} bytes`);
      else this.take(module, rest.slice(0, low), true, line, text);
    } else if (control >> 4 === 1)
      this.open.set(key, { want: (low << 8) | (rest[0] ?? 0), bytes: rest.slice(1), next: 1, line, text });
    else if (control >> 4 === 2) this.follow(key, low, rest, line, text);
  }

  private follow(module: string, count: number, bytes: readonly number[], line: number, text: string): void {
    const begun = this.open.get(module);
    if (!begun) return this.fault(line, text, 'goes on with a reply whose beginning is missing');
    if (count !== begun.next) {
      this.open.delete(module);
      return this.fault(line, text, `part ${begun.next} of the reply of ${module} is missing before this`);
    }
    begun.bytes.push(...bytes);
    begun.next = (begun.next + 1) % 16;
    if (begun.bytes.length < begun.want) return;
    this.open.delete(module);
    this.take(module, begun.bytes.slice(0, begun.want), true, begun.line, begun.text);
  }

  private fault(line: number, text: string, message: string, kind: ReplyFault['kind'] = 'broken'): void {
    this.faults.push({ line, text, message, kind });
  }
}

function frameIn(body: string, line: number, text: string, faults: ReplyFault[]): Frame | null {
  const can = /^(?:(7E[89A-F])|(18 ?DA ?F1 ?[0-9A-F]{2}))[ :,]*(.*)$/i.exec(body);
  const rest = can ? (can[3] ?? '') : body;
  const bytes = bytesIn(rest, line, text, faults);
  if (!bytes || bytes.length === 0) return null;
  if (can) return { module: (can[1] ?? can[2] ?? '').replaceAll(' ', '').toUpperCase(), bytes, kind: 'can' };
  // SAE J1850 and ISO 9141 answer with 48 6B and the address, ISO 14230 with a length, F1 and the address; a check sum ends both.
  const [first = 0, second = 0, address = 0] = bytes;
  const serial = (first === 0x48 && second === 0x6b) || ((first & 0xc0) === 0x80 && second === 0xf1);
  if (serial && bytes.length > 4) return { module: hex(address), bytes: bytes.slice(3, -1), kind: 'serial' };
  return { module: null, bytes, kind: 'bare' };
}

/** Bytes of a line; null (and a fault, if it was meant as hex) where it has other than whole bytes. */
function bytesIn(body: string, line: number, text: string, faults: ReplyFault[]): number[] | null {
  const digits = body.replace(/0x/gi, '').replace(/[\s,;:$-]/g, '');
  if (/^[0-9A-F]*$/i.test(digits)) {
    if (digits.length % 2 === 0) return (digits.match(/../g) ?? []).map((pair) => Number.parseInt(pair, 16));
    faults.push({
      line,
      text,
      message: `has an odd number of hex digits (${digits.length})`,
      hint: 'one is missing or one too many',
      kind: 'broken',
    });
    return null;
  }
  const meant = digits.toUpperCase().replace(/[OQ]/g, '0').replace(/[IL|]/g, '1');
  if (/^[0-9A-F]+$/.test(meant) && (digits.match(/\d/g)?.length ?? 0) >= digits.length / 2)
    faults.push({
      line,
      text,
      message: 'has a letter that is no hex digit',
      hint: `O for 0 or I for 1? then it reads ${(meant.match(/..?/g) ?? []).join(' ')}`,
      kind: 'broken',
    });
  return null;
}

export function hex(byte: number): string {
  return byte.toString(16).toUpperCase().padStart(2, '0');
}
