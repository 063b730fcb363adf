/** A stretch of a drive as it is read out. */
export interface CardLeg {
  /** One short line for each thing to keep to, the speed first. */
  readonly card: readonly string[];
  readonly minutes: number;
  readonly serves: readonly { readonly number: number; readonly title: string; readonly safety: boolean }[];
}
