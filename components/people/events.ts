import type { Shop } from '../../src/job/exchange.ts';
import type { Role } from '../../src/job/people.ts';

/** Somebody says who they are. */
export class SignedIn extends Event {
  static readonly type = 'lb-signed-in';
  constructor(
    readonly person: string,
    readonly pin: string,
  ) {
    super(SignedIn.type, { bubbles: true, composed: true });
  }
}

/** Nobody worked here yet: the first foreman, made with the code that the server printed. */
export class FirstMade extends Event {
  static readonly type = 'lb-first-made';
  constructor(
    readonly code: string,
    readonly shop: string,
    readonly name: string,
    readonly pin: string,
  ) {
    super(FirstMade.type, { bubbles: true, composed: true });
  }
}

/** The foreman puts somebody on the list. */
export class PersonAdded extends Event {
  static readonly type = 'lb-person-added';
  constructor(
    readonly name: string,
    readonly roles: Role[],
    readonly pin: string,
  ) {
    super(PersonAdded.type, { bubbles: true, composed: true });
  }
}

/** What becomes other of somebody; fields left out stay. */
export interface Changed {
  readonly name?: string;
  readonly roles?: Role[];
  readonly pin?: string;
  /** The PIN so far, where it is one's own. */
  readonly old?: string;
  readonly gone?: boolean;
}

export class PersonChanged extends Event {
  static readonly type = 'lb-person-changed';
  constructor(
    readonly person: string,
    readonly changed: Changed,
  ) {
    super(PersonChanged.type, { bubbles: true, composed: true });
  }
}

/** The settings of the shop, all of them. */
export class ShopChanged extends Event {
  static readonly type = 'lb-shop-changed';
  constructor(readonly shop: Shop) {
    super(ShopChanged.type, { bubbles: true, composed: true });
  }
}

/** A PIN was typed to its end. */
export class PinTyped extends Event {
  static readonly type = 'lb-pin-typed';
  constructor(readonly pin: string) {
    super(PinTyped.type, { bubbles: true, composed: true });
  }
}
