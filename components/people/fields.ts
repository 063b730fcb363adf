/** What is written in a field of a form, without the blanks around it. */
export function fieldText(form: HTMLFormElement, name: string): string {
  const field = form.elements.namedItem(name);
  return field instanceof HTMLInputElement ? field.value.trim() : '';
}
