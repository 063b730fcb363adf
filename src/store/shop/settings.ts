import { Shop } from '../../job/exchange.ts';
import type { Db } from '../log/tables.ts';
import { ask, type Store } from '../log/transact.ts';

const UNNAMED: Shop = {
  name: 'Workshop',
  alone: false,
  units: 'metric',
  tools: null,
  'lock-minutes': 10,
  'keep-years': 3,
};

/** How long jobs are kept here. */
export async function keepYearsOf(db: Db): Promise<number> {
  const row = await db.selectFrom('shop').select('settings').executeTakeFirst();
  return row ? Shop.parse(JSON.parse(row.settings))['keep-years'] : UNNAMED['keep-years'];
}

export interface Settings {
  readonly shop: Shop;
  /** An invented shop, whose PIN anybody may see. */
  readonly demo: boolean;
}

/**
 * The shop's settings; those of a shop without a name until somebody set them. Remembered, for every call asks for them,
 * unless another server may have changed them.
 */
export class ShopSettings {
  private known: Settings | undefined;

  constructor(private readonly store: Store) {}

  async get(): Promise<Settings> {
    if (this.known && !this.store.shared) return this.known;
    const row = await ask(this.store, (db) => db.selectFrom('shop').selectAll().executeTakeFirst());
    this.known = row
      ? { shop: Shop.parse(JSON.parse(row.settings)), demo: row.demo === 1 }
      : { shop: UNNAMED, demo: false };
    return this.known;
  }

  async put(shop: Shop, { demo }: { readonly demo?: boolean } = {}): Promise<Shop> {
    const is = demo ?? (await this.get()).demo;
    const row = { id: 1, settings: JSON.stringify(shop), demo: is ? 1 : 0 };
    await ask(this.store, (db) =>
      db
        .insertInto('shop')
        .values(row)
        .onConflict((conflict) => conflict.column('id').doUpdateSet(row))
        .execute(),
    );
    this.known = { shop, demo: is };
    return shop;
  }
}
