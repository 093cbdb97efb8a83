// Changes of a register: each takes a show that it may change, as the shell
// hands it out for one step that can be undone.

import type { Day, Show } from '../types';
import type { Field, Row, TableName, TableSpec } from './fields';
import { empty, get, set, table } from './fields';
import { forget, rename } from './references';

// Line is one line of a table as shown: the row as given, and as completed.
export interface Line {
  at: number; // place in the show's own list; -1: it is assumed as a whole
  given: Row;
  complete: Row;
}

const sameRow = (t: TableSpec, a: Row, b: Row) => t.name === 'paces' ? a.kind === b.kind && a.gear === b.gear : a[t.id ?? 'name'] === b[t.id ?? 'name'];

// assumedRows are tables of which lines that nobody gave count all the same.
const assumedRows: readonly TableName[] = ['classes', 'paces', 'resets'];

// lines returns the lines of a table: what is given, in its order, then what
// is assumed as a whole.
export function lines(t: TableSpec, show: Show, complete: Show): Line[] {
  const given = t.rows(show), full = t.rows(complete);
  const list: Line[] = given.map((row, at) => ({ at, given: row, complete: (t.id ? full.find((x) => sameRow(t, x, row)) : full[at]) ?? row }));
  if (!assumedRows.includes(t.name)) return list;
  return [...list, ...full.filter((x) => !given.some((row) => sameRow(t, x, row))).map((row) => ({ at: -1, given: {}, complete: row }))];
}

// find returns where a line's row is in a show that may be newer than the one
// the line is of: by its id; without one by its content, at its old place
// first. undefined: it is gone, or has been changed.
export function find(show: Show, name: TableName, line: Line): Line | undefined {
  const t = table(name), rows = t.rows(show);
  if (t.single || line.at < 0) return line;
  const same = (row: Row | undefined) => row !== undefined && (t.id ? row[t.id] === line.given[t.id] : JSON.stringify(row) === JSON.stringify(line.given));
  const at = same(rows[line.at]) ? line.at : rows.findIndex(same);
  return at < 0 ? undefined : { ...line, at };
}

// assumed reports whether a field is not given but has a value all the same.
export function assumed(line: Line, field: Field): boolean {
  return empty(get(line.given, field.key)) && !empty(get(line.complete, field.key)) && !(field.kind === 'yes');
}

// put changes one field of one line. Where the whole line was assumed it
// becomes a given one; an id that changes is changed wherever it is named.
export function put(show: Show, name: TableName, line: Line, key: string, value: unknown): number {
  const t = table(name);
  let rows = [...t.rows(show)];
  let at = line.at;
  if (name === 'weights' && Object.keys(rows[0]!).length === 0) rows = [structuredClone(line.complete)];
  if (at < 0) {
    rows.push(structuredClone(line.complete));
    at = rows.length - 1;
  }
  const was = rows[at]!;
  rows[at] = set(was, key, value);
  t.put(show, rows);
  if (key === t.id && typeof was[key] === 'string' && typeof value === 'string') rename(show, name, was[key], value);
  return at;
}

// identify makes an id from a name that no other row of the table has: "Smew
// gun" is "smew-gun"; a lane's id is its name.
export function identify(show: Show, name: TableName, wanted: string): string {
  const plain = name === 'lanes' || name === 'classes' ? wanted.trim() : wanted.trim().toLowerCase().normalize('NFD').replace(/[\u0300-\u036f]/g, '').replace(/[^a-z0-9]+/g, '-').replace(/^-|-$/g, '');
  const base = plain || name.slice(0, 1);
  return unused(base, takenIds(show, name));
}

function takenIds(show: Show, name: TableName): Set<string> {
  const of = (n: TableName) => table(n).rows(show).map((r) => String(r[table(n).id ?? 'name'] ?? ''));
  return new Set(name === 'vehicles' || name === 'combinations' ? [...of('vehicles'), ...of('combinations')] : of(name));
}

function unused(base: string, taken: Set<string>): string {
  const m = /^(.*?)(\d+)$/.exec(base);
  if (!taken.has(base)) return base;
  const [stem, from] = m ? [m[1]!, Number(m[2]) + 1] : [`${base}-`, 2];
  for (let n = from; ; n++) if (!taken.has(stem + n)) return stem + n;
}

// taken reports whether an id is another row's already.
export function taken(show: Show, name: TableName, id: string, at: number): boolean {
  const own = at >= 0 ? String(table(name).rows(show)[at]?.[table(name).id ?? ''] ?? '') : '';
  return id !== own && takenIds(show, name).has(id);
}

// add appends a row and returns its place.
export function add(show: Show, name: TableName, row: Row): number {
  const t = table(name);
  const rows = [...t.rows(show), row];
  t.put(show, rows);
  return rows.length - 1;
}

// duplicate puts a copy of a row behind it, under an id and a name of its own,
// and returns its place.
export function duplicate(show: Show, name: TableName, at: number): number {
  const t = table(name), rows = [...t.rows(show)];
  const copy = structuredClone(rows[at]!);
  if (t.id) {
    const id = identify(show, name, String(copy[t.id] ?? ''));
    if (t.id !== 'name' && typeof copy.name === 'string' && copy.name !== '') {
      copy.name = unused(copy.name, new Set(rows.map((r) => String(r.name ?? ''))));
    }
    copy[t.id] = id;
  }
  if (name === 'days') copy.name = unused(String(copy.name), new Set((rows as unknown as Day[]).map((d) => d.name)));
  const to = t.fromTheEnd ? rows.length : at + 1;
  rows.splice(to, 0, copy);
  t.put(show, rows);
  return to;
}

// remove takes a row away, and its id out of everything that refers to it.
export function remove(show: Show, name: TableName, at: number): void {
  const t = table(name), rows = [...t.rows(show)];
  const [gone] = rows.splice(at, 1);
  t.put(show, rows);
  if (gone && t.id) forget(show, name, String(gone[t.id]));
}

// removable reports whether a row may be removed by itself: of counted rows
// only the last.
export function removable(show: Show, name: TableName, at: number): boolean {
  const t = table(name);
  return !t.single && at >= 0 && (!t.fromTheEnd || at === t.rows(show).length - 1);
}
