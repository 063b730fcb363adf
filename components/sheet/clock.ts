/** Times of the clock as a workshop reads them. */

/** "10:52"; with its day where that is another one: "26 Nov, 08:10". */
export function clock(at: number | string, now?: number): string {
  const time = new Date(at);
  const [hours, minutes] = [time.getHours(), time.getMinutes()].map((part) => String(part).padStart(2, '0'));
  const day = time.toLocaleDateString('en-GB', { day: 'numeric', month: 'short' });
  const today = now === undefined || new Date(now).toDateString() === time.toDateString();
  return today ? `${hours}:${minutes}` : `${day}, ${hours}:${minutes}`;
}

/** A day as it is written down: "2026-11-27" -> "27 Nov 2026". */
export function dayText(day: string): string {
  const [year, month, date] = day.split('-').map(Number);
  const at = new Date(year ?? 0, (month ?? 1) - 1, date ?? 1);
  return at.toLocaleDateString('en-GB', { day: 'numeric', month: 'short', year: 'numeric' });
}

/** Today, as a date field writes it. */
export function dayOf(at: number): string {
  const time = new Date(at);
  const parts = [time.getMonth() + 1, time.getDate()].map((part) => String(part).padStart(2, '0'));
  return [time.getFullYear(), ...parts].join('-');
}

/** Milliseconds in words: "41 s", "14 min", "2 h 05 min". */
export function spanText(span: number): string {
  const seconds = Math.ceil(span / 1000);
  if (seconds < 90) return `${Math.max(0, seconds)} s`;
  const minutes = Math.ceil(seconds / 60);
  return minutes < 60 ? `${minutes} min` : `${Math.floor(minutes / 60)} h ${String(minutes % 60).padStart(2, '0')} min`;
}
