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

/** A PIN was typed to its end. */
export class PinTyped extends Event {
  static readonly type = 'lb-pin-typed';
  constructor(readonly pin: string) {
    super(PinTyped.type, { bubbles: true, composed: true });
  }
}
