// Search as people type: capitals, accents and punctuation do not count, and
// every word must be found somewhere.

// folded brings a text to the form in which texts are compared.
export function folded(text: string): string {
  return text.normalize('NFD').replace(/[\u0300-\u036f]/g, '').toLowerCase().replace(/[^\p{L}\p{N}.]+/gu, ' ').trim();
}

// matches reports whether every word of a query begins a word of a text, or
// stands anywhere in it when it has three letters or more.
export function matches(text: string, query: string): boolean {
  const q = folded(query);
  if (q === '') return true;
  const t = folded(text), words = t.split(' ');
  return q.split(' ').every((w) => words.some((x) => x.startsWith(w)) || (w.length >= 3 && t.includes(w)));
}

// ranked returns those that match, the ones whose text begins with the query
// first, else in their own order.
export function ranked<T>(items: readonly T[], text: (item: T) => string, query: string): T[] {
  const q = folded(query);
  const fits = items.filter((x) => matches(text(x), query));
  return q === '' ? fits : [...fits.filter((x) => folded(text(x)).startsWith(q)), ...fits.filter((x) => !folded(text(x)).startsWith(q))];
}
