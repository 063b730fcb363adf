/** Minutes in words a workshop uses: 0.5 -> "under 1 min", 90 -> "1 h 30 min". */
export function minutesText(minutes: number): string {
  if (minutes <= 0) return '0 min';
  if (minutes < 1) return 'under 1 min';
  const whole = Math.round(minutes);
  const [hours, rest] = [Math.floor(whole / 60), whole % 60];
  if (hours === 0) return `${rest} min`;
  return rest === 0 ? `${hours} h` : `${hours} h ${rest} min`;
}

/** The same for a narrow place: 159 -> "2 h 39". */
export function shortMinutes(minutes: number): string {
  return minutesText(minutes).replace(/(\d+ h \d+) min$/, '$1');
}

/** "front-left" -> "front left". */
export function placeText(position: string): string {
  return position.replaceAll('-', ' ');
}

export function capital(text: string): string {
  return text.charAt(0).toUpperCase() + text.slice(1);
}

/** Ends a clause with a full stop, unless it has its own. */
export function sentence(text: string): string {
  return /[.!?]$/.test(text) ? capital(text) : `${capital(text)}.`;
}
