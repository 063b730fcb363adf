import type { ReactiveController, ReactiveControllerHost } from 'lit';

/** Below every page that is printed: whose it is, by which rules, and its number, which only the printer knows. */
export class PageFrame implements ReactiveController {
  private frame: CSSStyleSheet | undefined;

  /** `words` = what stands at the left, and the rules' version. */
  constructor(
    host: ReactiveControllerHost,
    private readonly words: () => readonly [whose: string, rules: string],
  ) {
    host.addController(this);
  }

  hostUpdated(): void {
    const [whose, rules] = this.words();
    this.wear(pageFrame(whose, `Rules ${rules}, page `));
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

function pageFrame(left: string, right: string): CSSStyleSheet {
  const frame = new CSSStyleSheet();
  const face = "font: 600 9pt 'Atkinson Hyperlegible Next Variable', sans-serif; color: #000;";
  frame.replaceSync(`@page {
    margin: 12mm 12mm 15mm;
    @bottom-left { content: ${quoted(left)}; ${face} }
    @bottom-right { content: ${quoted(right)} counter(page) " of " counter(pages); ${face} }
  }`);
  return frame;
}

/** A CSS string of any text (CSS Syntax 3, 4.3.7: whatever may end it is written as its code point). */
function quoted(text: string): string {
  const safe = [...text].map((c) => (/[\w .,:·-]/.test(c) ? c : `\\${(c.codePointAt(0) ?? 32).toString(16)} `));
  return `"${safe.join('')}"`;
}
