/** Text on 80 columns. */
export const WIDTH = 80;

/** Words broken over lines; the first behind `first`, the others indented as far. */
export function wrap(text: string, first = '', width = WIDTH): string[] {
  const indent = ' '.repeat(first.length);
  const lines: string[] = [];
  let line = first;
  for (const word of text.split(/\s+/).filter(Boolean)) {
    const empty = line.trim() === '' || line === first;
    if (!empty && line.length + 1 + word.length > width) {
      lines.push(line);
      line = indent + word;
    } else line += (empty ? '' : ' ') + word;
  }
  return [...lines, line.trimEnd()];
}

/** A heading over the whole width. */
export function heading(text: string): string {
  return `== ${text} ${'='.repeat(Math.max(3, WIDTH - text.length - 4))}`;
}

/** Left and right on one line, or the right one below where both do not fit. */
export function sides(left: string, right: string): string[] {
  const gap = WIDTH - left.length - right.length;
  if (gap >= 2) return [left + ' '.repeat(gap) + right];
  return [...wrap(left.trimStart(), ' '.repeat(left.length - left.trimStart().length)), right.padStart(WIDTH)];
}

export function minutesText(minutes: number): string {
  if (minutes < 1 && minutes > 0) return `${Math.round(minutes * 60)} s`;
  if (minutes < 120) return `${Math.round(minutes * 10) / 10} min`;
  const hours = Math.floor(minutes / 60);
  const rest = Math.round(minutes - hours * 60);
  return rest === 0 ? `${hours} h` : `${hours} h ${rest} min`;
}
