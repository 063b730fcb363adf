export type Theme = 'light' | 'dark';

const SHELF = 'last-bolt-theme';

/** What was chosen on this tablet, else what the system asks for. */
export function theme(): Theme {
  const chosen = document.documentElement.dataset.theme;
  if (chosen === 'light' || chosen === 'dark') return chosen;
  return matchMedia('(prefers-color-scheme: dark)').matches ? 'dark' : 'light';
}

export function chooseTheme(chosen: Theme): void {
  document.documentElement.dataset.theme = chosen;
  try {
    localStorage.setItem(SHELF, chosen);
  } catch {
    // A browser that keeps nothing asks again next time.
  }
}

/** Puts on what was chosen before. */
export function recallTheme(): void {
  try {
    const kept = localStorage.getItem(SHELF);
    if (kept === 'light' || kept === 'dark') document.documentElement.dataset.theme = kept;
  } catch {
    // Then the system's wish stands.
  }
}
