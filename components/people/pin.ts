/** What is wrong with a new PIN, as a sentence. */
export function pinFault(pin: string, again: string): string | undefined {
  if (!/^\d{4,8}$/.test(pin)) return 'A PIN is four to eight digits, and nothing else.';
  return pin === again ? undefined : 'The two PINs are not the same: write both again.';
}
