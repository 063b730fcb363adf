import { createHash } from 'node:crypto';
import { readdirSync, readFileSync } from 'node:fs';
import { join } from 'node:path';
import { afterAll, afterEach, beforeAll, beforeEach, describe, expect, test } from 'vitest';
import { z } from 'zod';
import { EVENTS } from '../src/job/events.ts';
import { upcast } from '../src/job/upcast.ts';
import { openLog, type SqlLog } from '../src/store/log/log.ts';
import { PERSONAL } from '../src/store/log/seal.ts';
import { type Ground, kinds } from './store.places.ts';

const base = (n: number) => ({ v: 1, id: `e${n}`, at: '2026-11-25T09:00:00Z', by: 'Zelda Byname' });
const PICTURE = Uint8Array.of(0xff, 0xd8, 0xff, 0xd9);
const HASH = createHash('sha256').update(PICTURE).digest('hex');

/** One word in each personal field, which is to be found nowhere once it is removed. */
const events = [
  {
    type: 'came-back',
    ro: '1',
    rulebook: 'r1',
    units: 'metric',
    old: { ro: '0', rulebook: 'r0' },
    complaint: 'zw-complaint',
  },
  { type: 'vehicle-told', vehicle: { vin: 'ZWVIN0123456789AB', name: 'zw-name' }, corrects: false, flips: [] },
  {
    type: 'line-added',
    line: { part: 'windscreen', did: 'replaced', note: 'zw-line-note', by: 'zw-line-by' },
    flips: [],
  },
  { type: 'line-struck', line: 'e3', because: 'zw-struck', flips: [] },
  {
    type: 'noted',
    step: 'battery-register',
    values: {
      a: { kind: 'text', value: 'zw-text' },
      b: { kind: 'number', value: 12.5, unit: 'V', because: 'zw-value-because' },
      c: { kind: 'choice', value: 'stays' },
    },
  },
  { type: 'did-not-take', step: 's', way: 'w', try: 1, why: 'zw-why' },
  { type: 'sent-out', step: 's', firm: 'zw-firm', on: '2026-11-26' },
  { type: 'not-done', step: 's', reason: 'declined', note: 'zw-note' },
  { type: 'photo-attached', hash: HASH, shows: 'zw-shows' },
  { type: 'scanned', when: 'before', codes: [{ code: 'U0121', text: 'zw-code-text' }], flips: [] },
  { type: 'checked', item: 'x', value: { kind: 'text', value: 'zw-checked' }, independent: true },
  {
    type: 'left-unfinished',
    foreman: 'zw-foreman',
    customer: 'zw-customer',
    lines: ['NOT FINISHED: as read.'],
    open: [],
  },
].map((event, i) => ({ ...event, ...base(i + 1) }));

const words = [...JSON.stringify(events).matchAll(/zw-[a-z-]+|ZWVIN\w+|Zelda Byname/g)].map(([word]) => word);

test('words of people’s own are sealed in every event that can hold them', () => {
  const own = Object.entries(EVENTS).flatMap(([type, shape]) =>
    sentencesIn(z.toJSONSchema(shape, { io: 'input', unrepresentable: 'any' }) as Schema).map((path) => ({
      type,
      path,
    })),
  );
  expect(own.length).toBeGreaterThan(15);
  const sealed = new Set(PERSONAL.map(({ path }) => path.join('/')));
  const open = own.filter(({ path }) => !sealed.has(path)).map(({ type, path }) => `${type} ${path}`);
  // What the customer read and signed is the program's own text.
  expect(open).toEqual(['left-unfinished lines/*']);
});

describe.each(kinds())('words of people’s own in $name', (kind) => {
  describe.skipIf(kind.absent)('as in any database', () => {
    let ground: Ground;
    let log: SqlLog;
    beforeAll(() => kind.begin(), 60_000);
    afterAll(() => kind.end());
    beforeEach(async () => {
      ground = await kind.fresh();
      ({ log } = await openLog(ground.place));
      await log.putPhoto(PICTURE, 'image/jpeg');
    });
    afterEach(async () => {
      await log.close();
      await ground.end();
    });

    test('stand in no event as they lie in the database, and come back as they were', async () => {
      await log.append('1', 0, events);
      expect((await log.read('1'))?.events).toEqual(events.flatMap((event) => upcast(event)));
      const { links } = JSON.parse((await log.exported('1')) ?? '') as { links: unknown };
      for (const word of words) expect(JSON.stringify(links)).not.toContain(word);
    });

    test('are gone once they are removed; the chain still verifies, and sent again nothing is added', async () => {
      const { hash } = await log.append('1', 0, events);
      expect(await log.removePersonal('1')).toBe(new Set(words).size);
      for await (const { flaws } of log.verify()) expect(flaws).toEqual([]);
      expect(await log.append('1', 0, events)).toMatchObject({ hash, version: events.length });
      const record = await log.read('1');
      expect(record?.events[1]).toMatchObject({
        vehicle: { name: expect.stringMatching(/^removed \w{6}$/) as string },
      });
      expect(record?.events[1]).not.toHaveProperty('vehicle.vin');
      expect(record?.events[4]).toMatchObject({ values: { b: { value: 12.5, unit: 'V' }, c: { value: 'stays' } } });
      const left = await ground.meddle('select * from record_personal');
      for (const word of words) expect(JSON.stringify(left), word).not.toContain(word);
      if (typeof ground.place !== 'string') return;
      for (const file of readdirSync(ground.place))
        for (const word of words) expect(readFileSync(join(ground.place, file), 'latin1'), word).not.toContain(word);
    });

    test('one of them may go and the others stay', async () => {
      await log.append('1', 0, events);
      expect(await log.removePersonal('1', ['zw-customer'])).toBe(1);
      expect((await log.read('1'))?.events.at(-1)).toMatchObject({ foreman: 'zw-foreman', by: 'Zelda Byname' });
    });

    test('who did the work stays known as "us", whatever is removed: it decides what the work calls for', async () => {
      const line = { part: 'windscreen', did: 'replaced', by: 'us' };
      await log.append('1', 0, [events[0] as never, { type: 'line-added', line, flips: [], ...base(2) }]);
      await log.removePersonal('1');
      expect((await log.read('1'))?.events[1]).toMatchObject({ line });
    });
  });
});

interface Schema {
  readonly maxLength?: number;
  readonly properties?: Readonly<Record<string, Schema>>;
  readonly additionalProperties?: Schema | boolean;
  readonly items?: Schema | boolean;
  readonly anyOf?: readonly Schema[];
  readonly oneOf?: readonly Schema[];
}

/** Paths of texts as long as a sentence may be, as values.ts has it. */
function sentencesIn(schema: Schema, path = ''): string[] {
  const inner = (next: Schema | boolean | undefined, name: string) =>
    typeof next === 'object' ? sentencesIn(next, path === '' ? name : `${path}/${name}`) : [];
  return [
    ...new Set([
      ...(schema.maxLength === 2000 ? [path] : []),
      ...Object.entries(schema.properties ?? {}).flatMap(([name, next]) => inner(next, name)),
      ...inner(schema.additionalProperties, '*'),
      ...inner(schema.items, '*'),
      ...[...(schema.anyOf ?? []), ...(schema.oneOf ?? [])].flatMap((one) => sentencesIn(one, path)),
    ]),
  ];
}
