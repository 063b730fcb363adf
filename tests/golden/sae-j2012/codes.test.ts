import { describe, expect, test } from 'vitest';
import { codeOf, numberOf, ownerOf } from '../../../src/scan/code.ts';
import { meaningOf } from '../../../src/scan/meaning.ts';
import { pairs } from '../../../src/scan/reply-codes.ts';
import { codesInReplies } from '../../../src/scan/reply-codes.ts';
import { codeBook } from '../../scan-data.ts';

/**
 * SAE J2012 / ISO 15031-6, format structure: bits 15 and 14 give the letter (00 P, 01 C, 10 B, 11 U), bits 13 and 12 the
 * first digit, the other twelve three hex digits. The standard is sold: the layout and these pairs were read in
 * open-source decoders and their tests, which agree.
 */
// biome-ignore format: a pair a line
const codes: [hex: string, code: string][] = [
  ['0104', 'P0104'], ['0133', 'P0133'], ['0301', 'P0301'], ['0315', 'P0315'], ['0420', 'P0420'],
  ['2176', 'P2176'], // 0010 0001 0111 0110: 00 = P, 10 = 2, 176
  ['3400', 'P3400'],
  ['4123', 'C0123'], // 0100 0001 ...: 01 = C, 00 = 0, 123
  ['4240', 'C0240'], ['4529', 'C0529'],
  ['8003', 'B0003'], // 1000 0000 ...: 10 = B, 00 = 0, 003
  ['80A0', 'B00A0'],
  ['9234', 'B1234'], // 1001 0010 ...: 10 = B, 01 = 1, 234
  ['C100', 'U0100'], // 1100 0001 ...: 11 = U, 00 = 0, 100
  ['C158', 'U0158'],
  ['D016', 'U1016'], // 1101 0000 ...: 11 = U, 01 = 1, 016
  ['0A1F', 'P0A1F'],
];

describe('two bytes (SAE J2012 / ISO 15031-6, format structure; read in open decoders)', () => {
  test.each(codes)('%s is %s', (hex, code) => {
    expect(codeOf(Number.parseInt(hex, 16))).toBe(code);
    expect(numberOf(code)).toBe(Number.parseInt(hex, 16));
  });

  test.each([
    ['010480034123', ['P0104', 'B0003', 'C0123']],
    ['000001040000', ['P0104']],
    ['0000', []],
    ['01', []],
  ])('%s holds %j; zeros fill up, a byte alone is no code', (hex, expected) => {
    expect(pairs((hex.match(/../g) ?? []).map((pair) => Number.parseInt(pair, 16)))).toEqual(expected);
  });
});

/** Third byte: SAE J2012-DA / ISO 15031-6 failure type. Read in five public decoder tables that agree; 56 and 57 from memory. */
// biome-ignore format: a byte a line
const failureTypes: [byte: string, says: string, unfinished: boolean][] = [
  ['46', 'calibration or parameter memory fault', false], ['4A', 'wrong part fitted', false],
  ['51', 'not programmed', true], ['52', 'not activated', false], ['53', 'deactivated', false],
  ['54', 'calibration missing', true], ['55', 'not configured', true],
  ['56', 'configuration invalid or does not match', false], ['57', 'software part invalid or does not match', false],
  ['76', 'wrong mounting position', true], ['78', 'alignment or adjustment wrong', true],
  ['95', 'assembled wrongly', false], ['97', 'blocked or obstructed', false],
];

describe('failure type byte (SAE J2012-DA; read in public decoder tables)', () => {
  test.each(failureTypes)('%s: %s, unfinished: %s', (byte, says, unfinished) => {
    expect(meaningOf(`U023A-${byte}`, codeBook)).toMatchObject({ typeSays: says, unfinished });
  });

  // 45 29 54: 01 = C, 00 = 0, 529, failure type 54. C5 51 55: 11 = U, 00 = 0, 551, failure type 55.
  test.each([
    ['59 02 FF 45 29 54 08', 'C0529-54', ['steering-angle-zero']],
    ['59 02 FF C5 51 55 08', 'U0551-55', ['module-configuration']],
  ])('%s is %s', (reply, code, calls) => {
    expect(codesInReplies(reply).codes).toEqual([{ code, kept: ['stored'], module: null, status: 8 }]);
    expect(meaningOf(code, codeBook)).toMatchObject({ unfinished: true, calls });
  });
});

/** SAE J2012 DEC2007, 5.2 to 5.5: B0/B1/B2/B3 and C0/C1 read in the contents, the P and U rows from memory. */
// biome-ignore format: a row a line
const owners: [code: string, owner: ReturnType<typeof ownerOf>, basis: 'read' | 'memory'][] = [
  ['P0420', 'standard', 'memory'], ['P2176', 'standard', 'memory'], ['P3400', 'standard', 'memory'], ['P3999', 'standard', 'memory'],
  ['P1225', 'maker', 'memory'], ['P3000', 'maker', 'memory'], ['P3399', 'maker', 'memory'],
  ['B0100', 'standard', 'read'], ['B1234', 'maker', 'read'], ['B2215', 'maker', 'read'], ['B3001', 'reserved', 'read'],
  ['C0529', 'standard', 'read'], ['C1210', 'maker', 'read'], ['C2111', 'maker', 'memory'], ['C3001', 'reserved', 'memory'],
  ['U0100', 'standard', 'memory'], ['U1000', 'maker', 'memory'], ['U2100', 'maker', 'memory'], ['U3510', 'mixed', 'memory'],
];

test.each(owners)('%s is %s (%s)', (code, owner) => {
  expect(ownerOf(code)).toBe(owner);
});
