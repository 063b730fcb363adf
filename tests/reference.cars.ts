import type { Value } from '../src/rulebook/domain.ts';
import type { Rulebook } from '../src/rulebook/rulebook.ts';

/** Reads "with rain sensor, and made by Ford or Lincoln" back: an answer for any car. Throws where a word is left over. */
export type OnCar = (read: (trait: string) => Value) => boolean;

type Names = Pick<Rulebook, 'traits' | 'domains' | 'makers'>;

/** `models` = ids that may be named. */
export function readBack(text: string | undefined, book: Names, models: readonly string[]): OnCar {
  if (text === undefined) return () => true;
  const reader = new Reader(text, book, models);
  const answer = reader.any();
  if (reader.rest !== '') throw new Error(`left over in "${text}": "${reader.rest}"`);
  return answer;
}

class Reader {
  constructor(
    public rest: string,
    private readonly book: Names,
    private readonly models: readonly string[],
  ) {}

  any(): OnCar {
    const parts = [this.all()];
    while (this.take(', or ')) parts.push(this.all());
    return (car) => parts.some((part) => part(car));
  }

  private all(): OnCar {
    const parts = [this.one()];
    while (this.take(', and ') || this.take(' and ')) parts.push(this.one());
    return (car) => parts.every((part) => part(car));
  }

  private one(): OnCar {
    if (this.take('(')) {
      const inner = this.any();
      this.must(')');
      return inner;
    }
    if (this.take('none at all')) return () => false;
    if (this.take('without "')) return this.not(this.values());
    if (this.take('with "')) return this.values();
    if (this.take('without ')) return this.having('none');
    if (this.take('with ')) return this.not(this.having('none'));
    if (this.take('not ')) return this.not(this.named());
    return this.named();
  }

  private not(answer: OnCar): OnCar {
    return (car) => !answer(car);
  }

  private having(none: string): OnCar {
    const trait = this.among(this.titles());
    return (car) => car(trait) === none;
  }

  /** `engine: diesel / petrol"` */
  private values(): OnCar {
    const trait = this.among(this.titles());
    this.must(': ');
    const end = this.rest.indexOf('"');
    const words = this.rest.slice(0, end).split(' / ');
    this.rest = this.rest.slice(end + 1);
    const rows = Object.entries(this.book.traits.get(trait)?.values ?? {});
    const ids = words.map((word) => rows.find(([, said]) => said === word)?.[0] ?? word);
    return (car) => ids.includes(String(car(trait)));
  }

  private named(): OnCar {
    if (this.take('made by '))
      return this.list(
        'maker',
        [...this.book.makers].map(([id, name]) => [name, id]),
      );
    if (this.take('built for '))
      return this.list(
        'market',
        ['us', 'ca', 'eu', 'gb'].map((id) => [id.toUpperCase(), id]),
      );
    if (this.take('model years ')) {
      const from = this.number();
      this.must(' to ');
      const to = this.number();
      return (car) => Number(car('model-year')) >= from && Number(car('model-year')) <= to;
    }
    if (this.take('from model year ')) return this.over('model-year', this.number() - 1);
    if (this.take('up to model year ')) return this.not(this.over('model-year', this.number()));
    if (this.take('model year ')) {
      const years = [this.number()];
      while (/^(, | or )\d/.test(this.rest) && (this.take(', ') || this.take(' or '))) years.push(this.number());
      return (car) => years.includes(Number(car('model-year')));
    }
    // "Q50" and "CX-5" are written in their own way; their letters and figures tell which.
    if (this.take('model '))
      return this.list(
        'model',
        this.models.map((id) => [spoken(id), id]),
      );
    return this.figure(this.among(this.titles()));
  }

  private figure(trait: string): OnCar {
    const order = [' under ', ' at most ', ' over ', ' at least '].find((words) => this.take(words));
    const than = this.number();
    const domain = this.book.domains.get(trait);
    if (domain?.kind === 'number' && domain.unit) this.must(` ${domain.unit}`);
    if (order === ' under ') return (car) => Number(car(trait)) < than;
    if (order === ' over ') return this.over(trait, than);
    if (order === ' at most ') return this.not(this.over(trait, than));
    return (car) => Number(car(trait)) >= than;
  }

  private over(trait: string, than: number): OnCar {
    return (car) => Number(car(trait)) > than;
  }

  private list(trait: string, names: readonly (readonly [string, string])[]): OnCar {
    const known = new Map(names);
    const ids = [this.among(known)];
    for (;;) {
      const before = this.rest;
      if (!this.take(', ') && !this.take(' or ')) break;
      const next = this.longest(known);
      if (next === undefined) {
        this.rest = before;
        break;
      }
      ids.push(next);
    }
    return (car) => ids.includes(String(car(trait)));
  }

  private titles(): ReadonlyMap<string, string> {
    const names = [...this.book.domains.keys()].map((id) => this.book.traits.get(id)?.title ?? id.replaceAll('-', ' '));
    return new Map([...this.book.domains.keys()].map((id, i) => [small(names[i] as string), id]));
  }

  private among(names: ReadonlyMap<string, string>): string {
    const found = this.longest(names);
    if (found === undefined) throw new Error(`no known name at "${this.rest}"`);
    return found;
  }

  private longest(names: ReadonlyMap<string, string>): string | undefined {
    const [best] = [...names].filter(([name]) => this.rest.startsWith(name)).sort(([a], [b]) => b.length - a.length);
    if (best) this.rest = this.rest.slice(best[0].length);
    return best?.[1];
  }

  private number(): number {
    const found = /^-?[\d.]+(e[-+]?\d+)?/.exec(this.rest)?.[0];
    if (!found) throw new Error(`no figure at "${this.rest}"`);
    this.rest = this.rest.slice(found.length);
    return Number(found);
  }

  private take(words: string): boolean {
    if (!this.rest.startsWith(words)) return false;
    this.rest = this.rest.slice(words.length);
    return true;
  }

  private must(words: string): void {
    if (!this.take(words)) throw new Error(`wanted "${words}" at "${this.rest}"`);
  }
}

function small(title: string): string {
  return /^[A-Z][a-z]/.test(title) ? title.charAt(0).toLowerCase() + title.slice(1) : title;
}

function spoken(model: string): string {
  const pieces = model
    .split('-')
    .map((one) =>
      one.length <= 2 || /\d/.test(one) || !/[aeiouy]/.test(one)
        ? one.toUpperCase()
        : one[0]?.toUpperCase() + one.slice(1),
    );
  return pieces.length > 1 && /^[A-Z]{1,2}$/.test(pieces[0] as string)
    ? `${pieces[0]}-${pieces.slice(1).join(' ')}`
    : pieces.join(' ');
}
