/** A style sheet that prints a line on top of and below every page: page numbers only the printer knows. */
export function pageFrame(left: string, right: string): CSSStyleSheet {
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
