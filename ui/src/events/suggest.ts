// Type-ahead: which names a few typed letters can mean.

export interface Choice {
  id: string;
  name: string;
  also: string[]; // number, nicknames
  says: string; // what tells it from others
}

const plain = (s: string) =>
  s
    .normalize('NFD')
    .replace(/[\u0300-\u036f]/g, '')
    .toLowerCase()
    .trim();

// rank says how well a choice goes with what was typed: lower is better, null
// is not at all.
function rank(choice: Choice, typed: string): number | null {
  const name = plain(choice.name);
  if (name === typed) return 0;
  if (choice.also.some((a) => plain(a) === typed) || plain(choice.id) === typed) return 1;
  if (name.startsWith(typed)) return 2;
  if (name.split(/[\s-]+/).some((w) => w.startsWith(typed))) return 3;
  if (choice.also.some((a) => plain(a).startsWith(typed))) return 4;
  return name.includes(typed) ? 5 : null;
}

// suggest lists the choices that go with what was typed, best first; those
// equally good by name. Nothing typed: all, by name.
export function suggest(choices: Choice[], text: string, most = 8): Choice[] {
  const typed = plain(text);
  return choices
    .map((choice) => ({ choice, rank: typed === '' ? 9 : rank(choice, typed) }))
    .filter((x): x is { choice: Choice; rank: number } => x.rank !== null)
    .sort((a, b) => a.rank - b.rank || a.choice.name.localeCompare(b.choice.name, 'en'))
    .slice(0, most)
    .map((x) => x.choice);
}

// exactly returns the choice that a text names in full, by name, number,
// nickname or id; null when there is none or several.
export function exactly(choices: Choice[], text: string): Choice | null {
  const typed = plain(text);
  for (const wanted of [0, 1]) {
    const found = choices.filter((c) => rank(c, typed) === wanted);
    if (found.length > 0) return found.length === 1 ? found[0]! : null;
  }
  return null;
}

// parts splits a list of names as it is typed: by commas or semicolons.
export function parts(text: string): string[] {
  return text
    .split(/[,;]/)
    .map((p) => p.trim())
    .filter((p) => p !== '');
}

// lastPart is the piece of a typed list that type-ahead is about, with all
// that stands before it.
export function lastPart(text: string): { before: string; part: string } {
  const m = /^(.*[,;]\s*)?([^,;]*)$/s.exec(text)!;
  return { before: m[1] ?? '', part: m[2] ?? '' };
}
