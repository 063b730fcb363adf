import '../../components/sheet/tokens.css';
import '../../components/camera/vin-camera.ts';
import bwip from 'bwip-js/browser';
import { html, type LitElement, render } from 'lit';
import { afterEach, beforeEach, describe, expect, test, vi } from 'vitest';
import { page } from 'vitest/browser';
import { codesIn } from '../../components/camera/decode.ts';
import { TURNS, turned } from '../../components/camera/frames.ts';
import { type LabelVin, picturesWanted, type Read, Sightings, vinIn } from '../../components/camera/label.ts';
import type { VinRead } from '../../components/camera/vin-camera.ts';

/** Invented: the maker code belongs to nobody, the check digit agrees (49 CFR 565.15(c)); the second one's does not. */
const VIN = '7ZHAB3C59K0900418';
const ELSEWHERE = '7ZHAB3C58K0900418';

type Code = 'code39' | 'code128' | 'datamatrix' | 'qrcode';

/** A label as a label printer makes it, on a sheet of 1280 by 960, drawn by bwip-js. */
function label(code: Code, text: string, { blur = 0, tilt = 0 } = {}): HTMLCanvasElement {
  const drawn = document.createElement('canvas');
  const bars = code === 'code39' || code === 'code128';
  bwip.toCanvas(drawn, { bcid: code, text, scale: bars ? 3 : 8, ...(bars ? { height: 14 } : {}) });
  const sheet = document.createElement('canvas');
  [sheet.width, sheet.height] = [1280, 960];
  const context = sheet.getContext('2d') as CanvasRenderingContext2D;
  context.fillStyle = '#ddd';
  context.fillRect(0, 0, sheet.width, sheet.height);
  context.filter = blur > 0 ? `blur(${blur}px)` : 'none';
  context.translate(sheet.width / 2, sheet.height / 2);
  context.rotate((tilt * Math.PI) / 180);
  context.fillStyle = '#fff';
  context.fillRect(-drawn.width / 2 - 40, -drawn.height / 2 - 40, drawn.width + 80, drawn.height + 80);
  context.drawImage(drawn, -drawn.width / 2, -drawn.height / 2);
  return sheet;
}

/** All turns of the picture, as the camera looks at them one after the other. */
async function read(sheet: HTMLCanvasElement): Promise<LabelVin | undefined> {
  for (const degrees of TURNS) {
    const [found] = (await codesIn(turned(sheet, sheet, degrees))).flatMap((code) => vinIn(code) ?? []);
    if (found) return found;
  }
  return undefined;
}

describe('a VIN label', () => {
  const codes: readonly Code[] = ['code39', 'code128', 'datamatrix', 'qrcode'];
  const cases = codes.flatMap((code) =>
    [
      { how: 'clean' },
      { how: 'a little out of focus', blur: 1 },
      { how: 'tilted by 8 degrees', tilt: 8 },
      { how: 'tilted by 14 degrees the other way', tilt: -14 },
      { how: 'turned on its side', tilt: 90 },
    ].map((picture) => ({ code, ...picture })),
  );

  test.each(cases)('in $code is read, $how', async ({ code, blur, tilt }) => {
    const found = await read(label(code, VIN, { blur: blur ?? 0, tilt: tilt ?? 0 }));
    expect(found?.vin).toBe(VIN);
    expect(found?.agrees).toBe(true);
  });

  test.each(['datamatrix', 'qrcode'] as const)(
    'in %s corrects itself, also out of focus and askew at once',
    async (code) => {
      expect(await read(label(code, VIN, { blur: 2, tilt: 11 }))).toEqual({ vin: VIN, agrees: true, corrects: true });
    },
  );

  test('in Code 39 with the "I" of imports before it gives the VIN behind it', async () => {
    expect((await read(label('code39', `I${VIN}`)))?.vin).toBe(VIN);
  });

  test('that is none gives nothing', async () => {
    expect(await read(label('code39', 'PART 4711'))).toBeUndefined();
  });
});

describe('what a code says', () => {
  const cases: readonly [text: string, vin: string | undefined][] = [
    [VIN, VIN],
    [VIN.toLowerCase(), VIN],
    [`I${VIN}`, VIN],
    [`*${VIN}*`, VIN],
    [`VIN:${VIN};PAINT:NH731P`, VIN],
    [`https://example.test/car?vin=${VIN}`, VIN],
    // one letter too many, one too few, and a letter that no VIN has
    [`A${VIN}`, undefined],
    [VIN.slice(1), undefined],
    [VIN.replace('0', 'O'), undefined],
    // two cars in one code
    [`${VIN} ${ELSEWHERE}`, undefined],
    [`${VIN} ${VIN}`, VIN],
    ['', undefined],
  ];
  test.each(cases)('"%s" gives %s', (text, vin) => {
    expect(vinIn({ text, corrects: true })?.vin).toBe(vin);
  });

  test.each([
    [VIN, true, 1],
    [VIN, false, 2],
    [ELSEWHERE, true, 2],
    [ELSEWHERE, false, 3],
  ])('%s, code correcting itself %s, is believed after %d pictures', (text, corrects, times) => {
    const found = vinIn({ text, corrects } satisfies Read) as LabelVin;
    expect(picturesWanted(found)).toBe(times);
    const sightings = new Sightings();
    const believed = Array.from({ length: times }, () => sightings.add(found));
    expect(believed.map((one) => one?.vin)).toEqual([...Array<undefined>(times - 1).fill(undefined), text]);
  });

  test('another VIN in between does not count for it', () => {
    const sightings = new Sightings();
    const [one, other] = [VIN, ELSEWHERE].map((text) => vinIn({ text, corrects: false }) as LabelVin);
    expect([one, other, one].map((read) => sightings.add(read as LabelVin)?.vin)).toEqual([undefined, undefined, VIN]);
  });
});

describe('lb-vin-camera', () => {
  let stage: HTMLElement;
  beforeEach(() => {
    stage = document.createElement('main');
    document.body.append(stage);
  });
  afterEach(() => {
    stage.remove();
  });

  async function photographed(sheet: HTMLCanvasElement): Promise<{ camera: LitElement; heard: string[] }> {
    render(html`<lb-vin-camera></lb-vin-camera>`, stage);
    const camera = stage.firstElementChild as LitElement;
    await camera.updateComplete;
    const heard: string[] = [];
    camera.addEventListener('lb-vin-read', (event) => heard.push((event as VinRead).vin));
    const blob = await new Promise<Blob>((resolve) => sheet.toBlob((made) => resolve(made as Blob), 'image/jpeg', 0.8));
    const given = new DataTransfer();
    given.items.add(new File([blob], 'label.jpg', { type: 'image/jpeg' }));
    const field = camera.renderRoot.querySelector('input') as HTMLInputElement;
    field.files = given.files;
    field.dispatchEvent(new Event('change'));
    return { camera, heard };
  }

  test('reads a picture of the label, which needs no https, and says so', async () => {
    const { heard } = await photographed(label('code39', VIN, { tilt: 6 }));
    await expect.poll(() => heard).toEqual([VIN]);
    await expect.element(page.getByRole('status')).toHaveTextContent(`Read: ${VIN}. Its check digit agrees.`);
  });

  test('tells one whose check digit does not agree, and says that it is to be compared', async () => {
    const { heard } = await photographed(label('datamatrix', ELSEWHERE));
    await expect.poll(() => heard).toEqual([ELSEWHERE]);
    await expect.element(page.getByRole('status')).toHaveTextContent('compare it with the car');
  });

  test('says what to do where nothing can be read', async () => {
    const { heard } = await photographed(label('code39', 'PART 4711'));
    await expect.element(page.getByRole('alert')).toHaveTextContent('or type it');
    expect(heard).toEqual([]);
  });

  test('reads it in the running picture, then lets the camera go', async () => {
    // A drawn label stands before the camera; everything behind the camera is the real thing.
    const sheet = label('code128', VIN, { tilt: -7 });
    const stream = sheet.captureStream(20);
    const redraw = setInterval(() => sheet.getContext('2d')?.drawImage(sheet, 0, 0), 40);
    const { mediaDevices } = navigator;
    const asked = vi.spyOn(mediaDevices, 'getUserMedia').mockResolvedValue(stream);
    try {
      render(html`<lb-vin-camera></lb-vin-camera>`, stage);
      const heard: string[] = [];
      stage.addEventListener('lb-vin-read', (event) => heard.push((event as VinRead).vin));
      await page.getByRole('button', { name: 'Read it with the camera' }).click();
      await expect.poll(() => heard, { timeout: 10_000 }).toEqual([VIN]);
      expect(stream.getTracks().map(({ readyState }) => readyState)).toEqual(['ended']);
      await expect.element(page.getByRole('button', { name: 'Read it with the camera' })).toBeVisible();
    } finally {
      clearInterval(redraw);
      asked.mockRestore();
    }
  });

  test('says that the camera does not open where nobody allows it', async () => {
    render(html`<lb-vin-camera></lb-vin-camera>`, stage);
    await page.getByRole('button', { name: 'Read it with the camera' }).click();
    await expect.element(page.getByRole('alert')).toHaveTextContent('Photograph the label, or type it.');
  });
});
