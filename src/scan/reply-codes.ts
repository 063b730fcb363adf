import { codeOf, formatCode } from './code.ts';
import { hex, readReplies, type Reply, type ReplyFault } from './reply.ts';
import { type Kept, keptBy } from './status.ts';

export interface ReportedCode {
  /** `P0104`, or with the third byte `C0529-54` */
  readonly code: string;
  readonly kept: readonly Kept[];
  readonly module: string | null;
  /** Status byte, where the service gives one. */
  readonly status: number | null;
}

/** Replies of SAE J1979 that list codes: to $03 stored, to $07 pending, to $0A permanent. */
const LISTS: Readonly<Record<number, Kept>> = { 0x43: 'stored', 0x47: 'pending', 0x4a: 'permanent' };

/** Codes in hex replies to $03, $07, $0A, and to ISO 14229 service $19 02. */
export function codesInReplies(text: string): {
  codes: ReportedCode[];
  faults: readonly ReplyFault[];
  lists: readonly Kept[];
} {
  const { replies, faults } = readReplies(text);
  return { ...codesOf(replies), faults };
}

/** The codes; `lists` says which lists were asked for at all, so that an empty one can be told from none. */
export function codesOf(replies: readonly Reply[]): { codes: ReportedCode[]; lists: readonly Kept[] } {
  const lists = new Set<Kept>();
  const codes = replies.flatMap((reply): ReportedCode[] => {
    const kept = LISTS[reply.service];
    if (kept) {
      lists.add(kept);
      return pairs(counted(reply)).map((code) => ({ code, kept: [kept], module: reply.module, status: null }));
    }
    if (reply.service !== 0x59 || reply.data[0] !== 0x02) return [];
    lists.add('stored').add('pending');
    return records(reply);
  });
  return {
    codes: [...new Map(codes.map((c) => [`${c.module} ${c.code} ${c.kept.join()}`, c])).values()],
    lists: [...lists],
  };
}

/** Codes of two bytes each; 0000 fills up and is passed over, a single byte left is no code. */
export function pairs(bytes: readonly number[]): string[] {
  const codes: string[] = [];
  for (let i = 0; i + 1 < bytes.length; i += 2) {
    const number = ((bytes[i] as number) << 8) | (bytes[i + 1] as number);
    if (number !== 0) codes.push(codeOf(number));
  }
  return codes;
}

/** On CAN a count stands in front, which makes the length odd; the serial buses send three codes a reply and no count. */
function counted({ data }: Reply): readonly number[] {
  return data.length % 2 === 1 ? data.slice(1, 1 + 2 * (data[0] as number)) : data;
}

/** Behind `59 02` and the mask of status bits in use: three bytes of code and one of status each. */
function records({ data, module }: Reply): ReportedCode[] {
  const codes: ReportedCode[] = [];
  for (let i = 2; i + 3 < data.length; i += 4) {
    const [high = 0, middle = 0, type = 0, status = 0] = data.slice(i, i + 4);
    if (high + middle + type === 0) continue;
    const code = formatCode({ base: codeOf((high << 8) | middle), failureType: hex(type) });
    codes.push({ code, kept: keptBy(status), module, status });
  }
  return codes;
}
