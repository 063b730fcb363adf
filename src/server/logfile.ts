import { dirname } from 'node:path';
import { createStream, type Options, type RotatingFileStream } from 'rotating-file-stream';
import type { Settings } from './config-settings.ts';

/** Where lines of the log go, one JSON object each. */
export interface LogOut {
  readonly tell: (line: object) => void;
  /** The file was moved away by another program: from here on lines go into a new one of its name. */
  reopen(): void;
  /** Everything told is written. */
  close(): Promise<void>;
}

const MEGABYTES = 10;
const KEEP = 10;
/** After a file that could not be written, the next is tried no sooner. */
const PATIENCE_MS = 60_000;

/** Into a file that is put aside when it is full, or to standard error. */
export function openLogOut(log: Settings['log'], stray: (text: string) => void = toStderr): LogOut {
  if (log) return new LogFile(log, stray);
  return { tell: (line) => stray(lineOf(line)), reopen: () => undefined, close: () => Promise.resolve() };
}

/**
 * A line waits here until its write is acknowledged, so that none is lost while files are put aside. A file that can not
 * be written holds up no call: its lines go to standard error, and a minute later it is tried again.
 */
class LogFile implements LogOut {
  private readonly waiting: string[] = [];
  private stream: RotatingFileStream | undefined;
  private broken = 0;

  constructor(
    private readonly log: NonNullable<Settings['log']>,
    private readonly stray: (text: string) => void,
  ) {
    this.stream = this.opened();
  }

  readonly tell = (line: object): void => {
    this.waiting.push(lineOf(line));
    if (this.stream) return this.write(this.stream, this.waiting.at(-1) as string);
    // Between two files the next one takes it over.
    if (this.broken === 0) return;
    if (Date.now() - this.broken < PATIENCE_MS) return this.astray();
    this.next();
  };

  reopen(): void {
    const { stream } = this;
    if (!stream) return;
    // Lines told from here on wait until the last of the old file is written, so that their order holds.
    this.stream = undefined;
    stream.end(() => this.next());
  }

  async close(): Promise<void> {
    // A file that is being reopened is waited for.
    while (!this.stream && this.broken === 0) await new Promise((done) => setTimeout(done, 5));
    const { stream } = this;
    this.stream = undefined;
    if (stream) await new Promise<void>((done) => stream.once('close', () => done()).end());
    this.astray();
  }

  private next(): void {
    this.broken = 0;
    this.stream = this.opened();
    for (const text of this.waiting) this.write(this.stream, text);
  }

  private write(stream: RotatingFileStream, text: string): void {
    stream.write(text, (error) => {
      // The first of those that wait: the stream writes them in order.
      if (!error) this.waiting.splice(this.waiting.indexOf(text), 1);
    });
  }

  private opened(): RotatingFileStream {
    const { file, size = MEGABYTES, keep = KEEP, compress = true } = this.log;
    const ending = compress ? '.gz' : '';
    const options: Options = {
      size: `${size}M`,
      rotate: keep,
      // Names of routes and times of calls: for whoever runs this.
      mode: 0o600,
      path: dirname(file),
      ...(compress ? { compress: 'gzip' as const } : {}),
    };
    const name = file.slice(dirname(file).length).replace(/^\//, '');
    const nameOf = (index: number | Date | null) => (index === null ? name : `${name}.${Number(index)}${ending}`);
    const stream = createStream(nameOf, options);
    stream.on('error', (error) => this.failed(stream, error));
    return stream;
  }

  private failed(stream: RotatingFileStream, error: Error): void {
    if (this.stream !== stream && this.stream !== undefined) return;
    this.stream = undefined;
    this.broken = Date.now();
    this.stray(lineOf({ time: new Date().toISOString(), failed: 'log', error: `${this.log.file}: ${error.message}` }));
    this.astray();
  }

  private astray(): void {
    for (const text of this.waiting.splice(0)) this.stray(text);
  }
}

function lineOf(line: object): string {
  return `${JSON.stringify(line)}\n`;
}

function toStderr(text: string): void {
  process.stderr.write(text);
}
