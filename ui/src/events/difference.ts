// What pasted rows would change, in sentences.

import type { Serial, Show } from '../core/types';
import { words } from '../words/events';
import { clockAt, secondsAt } from '../core/time';
import { nameIn, serialName, type Desk } from './grid';

export interface Difference {
  lines: string[];
  serials: number; // new or changed
  entries: number; // new
}

// difference compares the order of events of two shows.
export function difference(desk: Desk, before: Show, after: Show): Difference {
  const d: Difference = { lines: [], serials: 0, entries: 0 };
  const unit = (id: string) => nameIn(desk.units, id) || id;
  for (const s of after.serials) {
    const old = before.serials.find((x) => x.id === s.id);
    if (!old) {
      const at = secondsAt(s.arena_in ?? s.form_up);
      d.lines.push(words.paste.newSerial(serialName(s), at === null ? '' : clockAt(at), s.entries.length));
      d.serials++;
      d.entries += s.entries.length;
    } else changed(d, old, s, unit);
  }
  for (const s of before.serials) if (!after.serials.some((x) => x.id === s.id)) d.lines.push(words.paste.goneSerial(serialName(s)));
  for (const [list, was, say] of [
    [after.people, before.people, words.paste.newPeople],
    [after.vehicles, before.vehicles, words.paste.newVehicles],
  ] as const) {
    const fresh = (list ?? []).filter((x) => !(was ?? []).some((y) => y.id === x.id));
    if (fresh.length > 0) d.lines.push(say(fresh.map((x) => x.name).join(', ')));
  }
  return d;
}

function changed(d: Difference, old: Serial, now: Serial, unit: (id: string) => string): void {
  const name = serialName(now);
  const lines: string[] = [];
  for (const e of now.entries) {
    const was = old.entries.find((x) => x.id === e.id);
    if (was) continue;
    lines.push(words.paste.newEntry(unit(e.unit), name));
    d.entries++;
  }
  for (const e of old.entries) if (!now.entries.some((x) => x.id === e.id)) lines.push(words.paste.gone(unit(e.unit), name));
  if (lines.length === 0 && JSON.stringify(old) !== JSON.stringify(now)) lines.push(words.paste.changed(name));
  if (lines.length > 0) d.serials++;
  d.lines.push(...lines);
}
