/** A moment as papers bear it: "25 Nov 2026, 14:05". */
export function momentText(at: string | number): string {
  return new Date(at).toLocaleString('en-GB', {
    day: 'numeric',
    month: 'short',
    year: 'numeric',
    hour: '2-digit',
    minute: '2-digit',
  });
}
