// What is different between two states of a show, value by value.

import { empty, get, tables, type Field, type Row, type TableName } from './register/fields';
import type { Serial, Show, Stay } from './types';

// Change is one value that is not the same. Without a field the whole row is
// new (was undefined) or gone (now undefined).
export interface Change {
  of: TableName | 'serials' | 'entries' | 'stays';
  id: string; // of the row: an entry's or a unit's own, "" where rows have none
  name: string; // what people call the row
  serial?: string; // of an entry
  after?: string; // of a stay: the serial or duty after which it begins
  field?: Field;
  was?: unknown;
  now?: unknown;
}

const order: Field = { key: 'order', kind: 'many', group: '', of: 'units' };
const serialFields: readonly Field[] = [
  { key: 'name', kind: 'text', group: '' }, { key: 'line', kind: 'one', of: 'lines', group: '' }, { key: 'home_line', kind: 'one', of: 'lines', group: '' },
  { key: 'form_from', kind: 'moment', group: '' }, { key: 'form_up', kind: 'moment', group: '' }, { key: 'arena_in', kind: 'moment', group: '' },
  { key: 'arena_out', kind: 'moment', group: '' }, { key: 'home_by', kind: 'moment', group: '' }, { key: 'travel_s', kind: 'minutes', group: '' },
  { key: 'leaving', kind: 'texts', group: '' }, { key: 'note', kind: 'text', group: '' },
];
const entryFields: readonly Field[] = [
  { key: 'unit', kind: 'one', of: 'units', group: '' }, { key: 'driver', kind: 'one', of: 'people', group: '' }, { key: 'crew', kind: 'many', of: 'people', group: '' },
  { key: 'reserves', kind: 'many', of: 'units', group: '' }, { key: 'value', kind: 'count', group: '' }, { key: 'join', kind: 'choice', choices: ['line', 'arena'], group: '' },
];
export const laneOfStay: Field = { key: 'lane', kind: 'one', of: 'lanes', group: '' };

const same = (a: unknown, b: unknown) => (empty(a) && empty(b)) || JSON.stringify(a) === JSON.stringify(b);
const row = (x: object) => x as unknown as Row;

// showChanges lists what is different from a to b: the order of events first,
// then the register table by table, rows in the order of b, gone ones last.
export function showChanges(a: Show, b: Show): Change[] {
  const list = serialChanges(a, b);
  for (const t of tables) {
    const keys = t.id ? [t.id] : t.single ? [] : [...new Set([...t.names, ...t.fields.map((f) => f.key)])].slice(0, 2);
    const key = (r: Row) => keys.map((k) => String(r[k] ?? '')).join(' ');
    const name = (r: Row) => String(t.names.map((k) => r[k]).find((v) => !empty(v)) ?? '');
    list.push(...rowChanges(t.rows(a), t.rows(b), key, t.fields, (r) => ({ of: t.name, id: key(r), name: name(r) })));
  }
  return list;
}

// rowChanges compares two lists of rows by their keys.
function rowChanges(a: readonly Row[], b: readonly Row[], key: (r: Row) => string, fields: readonly Field[], about: (r: Row) => Omit<Change, 'field' | 'was' | 'now'>): Change[] {
  const before = new Map(a.map((r) => [key(r), r])), list: Change[] = [];
  for (const r of b) {
    const old = before.get(key(r));
    before.delete(key(r));
    if (!old) list.push({ ...about(r), now: r });
    else for (const f of fields) if (!same(get(old, f.key), get(r, f.key))) list.push({ ...about(r), field: f, was: get(old, f.key), now: get(r, f.key) });
  }
  return [...list, ...[...before.values()].map((r) => ({ ...about(r), was: r }))];
}

function serialChanges(a: Show, b: Show): Change[] {
  const about = (r: Row) => ({ of: 'serials' as const, id: String(r.id), name: String(r.name || r.id) });
  const list = rowChanges(a.serials.map(row), b.serials.map(row), (r) => String(r.id), serialFields, about);
  for (const now of b.serials) {
    const was = a.serials.find((s) => s.id === now.id);
    if (!was) continue;
    const ofEntry = (r: Row) => ({ of: 'entries' as const, id: String(r.id), name: String(r.unit), serial: now.name || now.id });
    list.push(...rowChanges(was.entries.map(row), now.entries.map(row), (r) => String(r.id), entryFields, ofEntry));
    const [kept, stay] = [unitsOf(was, now), unitsOf(now, was)];
    if (!same(kept, stay)) list.push({ ...about(row(now)), field: order, was: kept, now: stay });
  }
  return list;
}

// unitsOf returns the units of the entries that another state of the serial has, too.
const unitsOf = (s: Serial, other: Serial) => s.entries.filter((e) => other.entries.some((x) => x.id === e.id && x.unit === e.unit)).map((e) => e.unit);

// stayChanges lists the stays that are spent in another lane, one of each unit.
export function stayChanges(a: readonly Stay[], b: readonly Stay[]): Change[] {
  const before = new Map(a.map((s) => [s.id, s])), seen = new Set<string>(), list: Change[] = [];
  for (const s of b) {
    const old = before.get(s.id);
    if (!old || old.lane === s.lane || seen.has(s.unit)) continue;
    seen.add(s.unit);
    list.push({ of: 'stays', id: s.unit, name: s.unit, after: s.after, field: laneOfStay, was: old.lane, now: s.lane });
  }
  return list;
}
