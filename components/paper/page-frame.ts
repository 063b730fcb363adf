import type { ReactiveController, ReactiveControllerHost } from 'lit';

/** A line above the pages that bear a name of their own (CSS `page`), or above all. */
export interface PageHead {
  readonly name: string;
  readonly words: string;
}

/** Below every page that is printed: whose it is, by which rules, and its number, which only the printer knows. */
export class PageFrame implements ReactiveController {
  private frame: CSSStyleSheet | undefined;

  /** `words` = what stands at the left, and the rules' version; `heads` = what stands above, if anything. */
  constructor(
    host: ReactiveControllerHost,
    private readonly words: () => readonly [whose: string, rules: string],
    private readonly heads: () => readonly PageHead[] = () => [],
  ) {
    host.addController(this);
  }

  hostUpdated(): void {
    const [whose, rules] = this.words();
    this.wear(pageFrame(whose, `Rules ${rules}`, this.heads()));
  }

  hostDisconnected(): void {
    this.wear(undefined);
  }

  private wear(frame: CSSStyleSheet | undefined): void {
    const others = document.adoptedStyleSheets.filter((one) => one !== this.frame);
    document.adoptedStyleSheets = frame ? [...others, frame] : others;
    this.frame = frame;
  }
}

function pageFrame(left: string, rules: string, heads: readonly PageHead[]): CSSStyleSheet {
  const frame = new CSSStyleSheet();
  const face = "font: 600 9pt 'Atkinson Hyperlegible Next Variable', sans-serif; color: #000;";
  // With a line above them, pages want room for it.
  const headed = heads.length > 0;
  frame.replaceSync(`@page {
    margin: ${headed ? 18 : 12}mm 12mm 15mm;
    ${headed ? `@top-right { content: ${quoted(rules)}; ${face} }` : ''}
    @bottom-left { content: ${quoted(left)}; ${face} }
    @bottom-right { content: ${quoted(headed ? 'Page ' : `${rules}, page `)} counter(page) " of " counter(pages); ${face} }
  }
  ${heads.map(({ name, words }) => `@page ${name} { @top-left { content: ${quoted(words)}; ${face} } }`).join('\n')}`);
  return frame;
}

/** A CSS string of any text (CSS Syntax 3, 4.3.7: whatever may end it is written as its code point). */
function quoted(text: string): string {
  const safe = [...text].map((c) => (/[\w .,:·-]/.test(c) ? c : `\\${(c.codePointAt(0) ?? 32).toString(16)} `));
  return `"${safe.join('')}"`;
}
