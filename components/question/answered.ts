/** A question was answered; `null` = looked and can't tell, `undefined` = the answer is taken back. */
export class Answered extends Event {
  static readonly type = 'lb-answered';
  constructor(
    readonly question: string,
    readonly value: string | null | undefined,
  ) {
    super(Answered.type, { bubbles: true, composed: true });
  }
}
