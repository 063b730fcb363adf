/** Three rising tones, until somebody says that they were heard. */

const HERTZ = [660, 880, 1175];
const TONE_S = 0.22;
const AGAIN_MS = 4000;
const LOUD = 0.5;

let context: AudioContext | undefined;

/** Browsers give no sound before the first touch of the page: this has to run within one. */
export async function allowSound(): Promise<boolean> {
  context ??= new AudioContext();
  if (context.state === 'suspended') await context.resume().catch(() => undefined);
  return context.state === 'running';
}

export function soundAllowed(): boolean {
  return context?.state === 'running';
}

export class Tones {
  private again: ReturnType<typeof setInterval> | undefined;

  get ringing(): boolean {
    return this.again !== undefined;
  }

  ring(): void {
    if (this.again !== undefined) return;
    sound();
    this.again = setInterval(sound, AGAIN_MS);
  }

  silence(): void {
    clearInterval(this.again);
    this.again = undefined;
  }
}

function sound(): void {
  if (!context || context.state !== 'running') return;
  const from = context.currentTime;
  for (const [i, hertz] of HERTZ.entries()) tone(context, hertz, from + i * TONE_S);
}

function tone(on: AudioContext, hertz: number, at: number): void {
  const [tone, loudness] = [on.createOscillator(), on.createGain()];
  tone.type = 'triangle';
  tone.frequency.value = hertz;
  // Soft edges: a tone cut off at once cracks.
  loudness.gain.setValueAtTime(0, at);
  loudness.gain.linearRampToValueAtTime(LOUD, at + 0.02);
  loudness.gain.setValueAtTime(LOUD, at + TONE_S - 0.05);
  loudness.gain.linearRampToValueAtTime(0, at + TONE_S);
  tone.connect(loudness).connect(on.destination);
  tone.start(at);
  tone.stop(at + TONE_S);
}
