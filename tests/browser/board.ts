import axe from 'axe-core';

/** A board to pin elements on, one for each test. */
export function newBoard(): HTMLElement {
  const board = document.createElement('main');
  board.style.background = 'var(--paper)';
  document.body.append(board);
  return board;
}

export function clearBoard(board: HTMLElement): void {
  board.remove();
  delete document.documentElement.dataset.theme;
}

/** Rules for a page that a heap of parts, each of which belongs to one, cannot keep. */
const OF_A_PAGE = ['heading-order', 'landmark-no-duplicate-banner', 'landmark-banner-is-top-level'];

/** What an accessibility checker has against it, text of 7:1 included. Whole pages are looked at in leaves.e2e.test.ts. */
export async function findings(board: Element, heap = false): Promise<string[]> {
  const off = ['page-has-heading-one', 'region', ...(heap ? OF_A_PAGE : [])];
  const { violations } = await axe.run(board, {
    rules: {
      'color-contrast-enhanced': { enabled: true },
      ...Object.fromEntries(off.map((rule) => [rule, { enabled: false }])),
    },
  });
  return violations.map(({ id, nodes }) => `${id}: ${nodes.map(({ html }) => html).join(' ')}`);
}
