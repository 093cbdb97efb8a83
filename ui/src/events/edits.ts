// Edits of the order of events. Each changes the show that it is given.

import type { Entry, Instant, Serial, Show } from '../core/types';
import { dayAt, momentAt, secondsAt } from '../core/time';

export const times = ['form_from', 'form_up', 'arena_in', 'arena_out', 'home_by'] as const;
export type TimeField = (typeof times)[number];

// firstTime returns the moment by which a serial stands in the order of
// events, in seconds; null when it has no time at all.
export function firstTime(s: Serial): number | null {
  for (const t of [s.arena_in, s.form_up, s.form_from, s.arena_out, s.home_by]) {
    const at = secondsAt(t);
    if (at !== null) return at;
  }
  return null;
}

// serialsOn lists the serials of a day by time; those of one time stay in the
// show's order. Serials without any time are on the first day's list.
export function serialsOn(show: Show, day: number): Serial[] {
  return show.serials
    .map((serial, i) => ({ serial, i, at: firstTime(serial) }))
    .filter((x) => (x.at === null ? 1 : dayAt(x.at)) === day)
    .sort((a, b) => (a.at ?? -1) - (b.at ?? -1) || a.i - b.i)
    .map((x) => x.serial);
}

export function serialOf(show: Show, id: string): Serial {
  const s = show.serials.find((x) => x.id === id);
  if (!s) throw new Error(`serial ${id} is gone`);
  return s;
}

export function entryOf(serial: Serial, id: string): Entry {
  const e = serial.entries.find((x) => x.id === id);
  if (!e) throw new Error(`entry ${id} is gone`);
  return e;
}

// put sets a field, or takes it away when the value is empty.
export function put<T extends object, K extends keyof T>(thing: T, key: K, value: T[K] | undefined): void {
  if (value === undefined || value === '' || (Array.isArray(value) && value.length === 0)) delete thing[key];
  else thing[key] = value;
}

// shift moves all given times of a serial by so many seconds.
export function shift(s: Serial, seconds: number): void {
  for (const field of times) {
    const at = secondsAt(s[field]);
    if (at !== null) s[field] = momentAt(at + seconds);
  }
}

// unused returns the id, with a number behind it when it is taken.
export function unused(id: string, taken: (id: string) => boolean): string {
  if (!taken(id)) return id;
  let n = 2;
  while (taken(`${id}-${n}`)) n++;
  return `${id}-${n}`;
}

// slug makes an id of a name.
export function slug(name: string): string {
  return name
    .normalize('NFD')
    .replace(/[\u0300-\u036f]/g, '')
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-|-$/g, '');
}

// addEntry puts an entry of a unit into a serial at a place (0: first) and
// returns it.
export function addEntry(show: Show, serial: string, at: number, unit: string): Entry {
  const s = serialOf(show, serial);
  const taken = (id: string) => show.serials.some((x) => x.entries.some((e) => e.id === id));
  const entry: Entry = { id: unused(`${serial}/${unit}`, taken), unit };
  s.entries.splice(at, 0, entry);
  return entry;
}

// removeEntry strikes an entry, also from the order of leaving.
export function removeEntry(show: Show, serial: string, entry: string): void {
  const s = serialOf(show, serial);
  s.entries = s.entries.filter((e) => e.id !== entry);
  if (s.leaving) put(s, 'leaving', s.leaving.filter((id) => id !== entry));
}

// entryGoes says where an entry goes when it is moved by one: within its
// serial, or over its edge into the neighbour of the day, last there or first.
// null: there is nowhere to go.
export function entryGoes(show: Show, serial: string, entry: string, by: -1 | 1): { serial: string; at: number } | null {
  const s = serialOf(show, serial);
  const to = s.entries.findIndex((e) => e.id === entry) + by;
  if (to >= 0 && to < s.entries.length) return { serial, at: to };
  const day = dayAt(firstTime(s) ?? 0);
  const list = serialsOn(show, day);
  const next = list[list.findIndex((x) => x.id === serial) + by];
  if (!next) return null;
  return { serial: next.id, at: by < 0 ? next.entries.length : 0 };
}

// moveEntry does what entryGoes says. An entry that leaves its serial is no
// longer in that serial's order of leaving.
export function moveEntry(show: Show, serial: string, entry: string, to: { serial: string; at: number }): void {
  const s = serialOf(show, serial);
  const e = entryOf(s, entry);
  if (to.serial === serial) s.entries.splice(s.entries.indexOf(e), 1);
  else removeEntry(show, serial, entry);
  serialOf(show, to.serial).entries.splice(to.at, 0, e);
}

// neighbour returns the serial of the same day before (-1) or after (1) it.
export function neighbour(show: Show, serial: string, by: -1 | 1): Serial | null {
  const s = serialOf(show, serial);
  const list = serialsOn(show, dayAt(firstTime(s) ?? 0));
  return list[list.indexOf(s) + by] ?? null;
}

// changePlaces lets two neighbouring serials go one before the other: each
// keeps its own spans, and the gap between them in the arena stays.
export function changePlaces(complete: Show, show: Show, one: string, other: string): void {
  const at = (id: string) => {
    const s = serialOf(complete, id);
    const from = secondsAt(s.arena_in) ?? firstTime(s) ?? 0;
    return { id, from, to: secondsAt(s.arena_out) ?? from };
  };
  const [a, b] = [at(one), at(other)].sort((x, y) => x.from - y.from) as [ReturnType<typeof at>, ReturnType<typeof at>];
  shift(serialOf(show, b.id), a.from - b.from);
  shift(serialOf(show, a.id), b.to - a.to);
  const [i, j] = [show.serials.findIndex((s) => s.id === a.id), show.serials.findIndex((s) => s.id === b.id)];
  const [s, t] = [show.serials[i]!, show.serials[j]!];
  if (i < j) [show.serials[i], show.serials[j]] = [t, s];
}

// addSerial adds a serial that enters the arena at a moment and returns it.
export function addSerial(show: Show, name: string, arenaIn: Instant): Serial {
  const id = unused(slug(name) || 'serial', (x) => show.serials.some((s) => s.id === x));
  const serial: Serial = { id, arena_in: arenaIn, entries: [] };
  put(serial, 'name', name);
  const after = show.serials.findIndex((s) => (firstTime(s) ?? 0) > (secondsAt(arenaIn) ?? 0));
  show.serials.splice(after < 0 ? show.serials.length : after, 0, serial);
  return serial;
}

export function removeSerial(show: Show, id: string): void {
  show.serials = show.serials.filter((s) => s.id !== id);
}

// personNamed returns the id of the person of that name and adds who is new.
export function personNamed(show: Show, name: string): string {
  const same = (a: string, b: string) => a.trim().toLowerCase() === b.trim().toLowerCase();
  const known = show.people?.find((p) => same(p.name, name) || same(p.id, name));
  if (known) return known.id;
  const id = unused(slug(name) || 'person', (x) => (show.people ?? []).some((p) => p.id === x));
  show.people = [...(show.people ?? []), { id, name: name.trim() }];
  return id;
}
