// The table of a day as rows and cells: what each cell shows, and what typing
// into it does to the show. No DOM.

import type { Entry, Serial, Show } from '../core/types';
import { words } from '../words/events';
import { clockAt, readClock, secondsAt, shownOn } from '../core/time';
import { addEntry, addSerial, entryOf, personNamed, put, serialOf, serialsOn, shift, type TimeField } from './edits';
import { exactly, parts, type Choice } from './suggest';

// A row is a serial, an entry, or a row that is new and has nothing in it yet.
export interface Row {
  key: string;
  kind: 'serial' | 'entry';
  serial: string; // of a new serial: ""
  entry?: string;
  at?: number; // of a new entry: its place in the serial
}

export type Fresh = { kind: 'serial' } | { kind: 'entry'; serial: string; at: number } | null;

// An edit is what the history calls it, and the change itself. A refusal is a
// sentence for the person who typed.
export type Edit = { what: string; change: (show: Show) => void };
export type Refusal = { refused: string };
export const isEdit = (x: Edit | Refusal): x is Edit => 'change' in x;

// Desk is all that cells are read from and written against.
export interface Desk {
  day: number;
  given: Show;
  complete: Show;
  units: Choice[];
  people: Choice[];
  lines: Choice[];
}

export interface Shown {
  text: string;
  assumed?: boolean; // not given: filled in by the program
}

// A column is one field of a kind of row.
export interface Column {
  key: string;
  head: string;
  choices?: 'units' | 'people' | 'lines' | 'joins';
  many?: boolean; // a list, separated by commas
  figure?: boolean; // set in figures, to the right
  width: number; // least width in rem
  show: (desk: Desk, row: Row) => Shown;
  write: (desk: Desk, row: Row, text: string) => Edit | Refusal;
}

// joins are the words for how an entry goes on to the vehicle's next one.
export const joins: Choice[] = [
  { id: '', name: words.join.none, also: ['-', 'no'], says: words.join.noneSays },
  { id: 'line', name: words.join.line, also: [], says: words.join.lineSays },
  { id: 'arena', name: words.join.arena, also: [], says: words.join.arenaSays },
];

export function deskOf(given: Show, complete: Show, day: number): Desk {
  const vehicles: Choice[] = given.vehicles.map((v) => ({
    id: v.id,
    name: v.name || v.id,
    also: [v.number ?? '', ...(v.nicknames ?? [])].filter((x) => x !== ''),
    says: [v.number, v.class].filter(Boolean).join(' · '),
  }));
  const combinations: Choice[] = (given.combinations ?? []).map((c) => ({ id: c.id, name: c.name || c.id, also: [], says: words.combination }));
  return {
    day,
    given,
    complete,
    units: [...vehicles, ...combinations],
    people: (given.people ?? []).map((p) => ({ id: p.id, name: p.name || p.id, also: [], says: (p.roles ?? []).join(', ') })),
    lines: (given.park.lines ?? []).map((l) => ({ id: l.id, name: l.name || l.id, also: [], says: '' })),
  };
}

export const nameIn = (choices: Choice[], id: string | undefined) => (id ? (choices.find((c) => c.id === id)?.name ?? id) : '');
export const serialName = (s: Serial | undefined) => s?.name || s?.id || '';

// rowsOf lists the rows of a day: each serial, then its entries in order, with
// the new row where it is to be.
export function rowsOf(show: Show, day: number, fresh: Fresh): Row[] {
  const rows: Row[] = [];
  for (const s of serialsOn(show, day)) {
    rows.push({ key: s.id, kind: 'serial', serial: s.id });
    const entries: Row[] = s.entries.map((e) => ({ key: `${s.id}|${e.id}`, kind: 'entry', serial: s.id, entry: e.id }));
    if (fresh?.kind === 'entry' && fresh.serial === s.id) entries.splice(fresh.at, 0, { key: 'new', kind: 'entry', serial: s.id, at: fresh.at });
    rows.push(...entries);
  }
  if (fresh?.kind === 'serial') rows.push({ key: 'new', kind: 'serial', serial: '' });
  return rows;
}

const serialIn = (show: Show, row: Row): Serial | undefined => show.serials.find((s) => s.id === row.serial);
const entryIn = (show: Show, row: Row): Entry | undefined => serialIn(show, row)?.entries.find((e) => e.id === row.entry);

// called names a row in the history: "Dunlin in Opening column".
export function called(desk: Desk, row: Row): string {
  const serial = serialName(serialIn(desk.given, row));
  const e = entryIn(desk.given, row);
  return e ? words.entryIn(nameIn(desk.units, e.unit), serial) : serial;
}

// orAssumed shows what is given, else what the program has filled in.
function orAssumed(given: string, filled: string): Shown {
  return given === '' && filled !== '' ? { text: filled, assumed: true } : { text: given };
}

function timeColumn(key: TimeField, head: string): Column {
  return {
    key,
    head,
    figure: true,
    width: 5,
    show: (desk, row) => orAssumed(shownOn(desk.day, serialIn(desk.given, row)?.[key]), shownOn(desk.day, serialIn(desk.complete, row)?.[key])),
    write: (desk, row, text) => writeTime(desk, row, key, head, text),
  };
}

function writeTime(desk: Desk, row: Row, key: TimeField, head: string, text: string): Edit | Refusal {
  const typed = readClock(text, desk.day);
  const name = called(desk, row);
  switch (typed.kind) {
    case 'wrong':
      return { refused: words.noTime(text.trim()) };
    case 'none':
      if (row.serial === '') return { refused: words.serialNeedsTime };
      return { what: words.did.cleared(name, head), change: (s) => put(serialOf(s, row.serial), key, undefined) };
    case 'by':
      if (row.serial === '') return { refused: words.serialNeedsTime };
      return { what: words.did.shifted(name, typed.minutes), change: (s) => shift(serialOf(s, row.serial), typed.minutes * 60) };
    case 'moment':
      if (row.serial !== '') {
        const clock = shownOn(desk.day, typed.moment);
        return { what: words.did.time(name, head, clock), change: (s) => put(serialOf(s, row.serial), key, typed.moment) };
      }
      if (key !== 'arena_in') return { refused: words.arenaInFirst };
      return { what: words.did.newSerial(clockAt(secondsAt(typed.moment)!)), change: (s) => void addSerial(s, words.newSerial, typed.moment) };
  }
}

// found reads the name of something that must be known already.
function found(choices: Choice[], text: string, unknown: (text: string) => string): string | Refusal {
  const choice = exactly(choices, text);
  return choice ? choice.id : { refused: unknown(text.trim()) };
}

const serialColumns: Column[] = [
  {
    key: 'name',
    head: words.heads.name,
    width: 13,
    show: (desk, row) => ({ text: serialIn(desk.given, row)?.name ?? '' }),
    write: (desk, row, text) => {
      if (row.serial === '') return { refused: words.arenaInFirst };
      const name = text.trim();
      return { what: words.did.named(called(desk, row), name), change: (s) => put(serialOf(s, row.serial), 'name', name) };
    },
  },
  {
    key: 'line',
    head: words.heads.line,
    choices: 'lines',
    width: 9,
    show: (desk, row) => orAssumed(nameIn(desk.lines, serialIn(desk.given, row)?.line), nameIn(desk.lines, serialIn(desk.complete, row)?.line)),
    write: (desk, row, text) => {
      if (row.serial === '') return { refused: words.arenaInFirst };
      const line = text.trim() === '' ? '' : found(desk.lines, text, words.noLine);
      if (typeof line !== 'string') return line;
      return { what: words.did.line(called(desk, row), nameIn(desk.lines, line)), change: (s) => put(serialOf(s, row.serial), 'line', line) };
    },
  },
  timeColumn('form_up', words.heads.formUp),
  timeColumn('arena_in', words.heads.arenaIn),
  timeColumn('arena_out', words.heads.arenaOut),
  timeColumn('home_by', words.heads.homeBy),
];

function writeUnit(desk: Desk, row: Row, text: string): Edit | Refusal {
  const unit = found(desk.units, text, words.noUnit);
  if (typeof unit !== 'string') return unit;
  const name = nameIn(desk.units, unit);
  const serial = serialIn(desk.given, row);
  const twice = serial?.entries.some((e) => e.unit === unit && e.id !== row.entry);
  if (twice) return { refused: words.twice(name, serialName(serial)) };
  if (!row.entry) {
    return { what: words.did.added(name, serialName(serial)), change: (s) => void addEntry(s, row.serial, row.at ?? 0, unit) };
  }
  return {
    what: words.did.replaced(name, called(desk, row)),
    change: (s) => void (entryOf(serialOf(s, row.serial), row.entry!).unit = unit),
  };
}

// entryColumn is a column that an entry has to exist for.
function entryColumn(c: Omit<Column, 'write'> & { set: (desk: Desk, row: Row, text: string) => ((show: Show, e: Entry) => void) | Refusal }): Column {
  return {
    ...c,
    write: (desk, row, text) => {
      if (!row.entry) return { refused: words.vehicleFirst };
      const set = c.set(desk, row, text);
      if (typeof set !== 'function') return set;
      return {
        what: words.did.set(called(desk, row), c.head, text.trim()),
        change: (s) => set(s, entryOf(serialOf(s, row.serial), row.entry!)),
      };
    },
  };
}

const entryColumns: Column[] = [
  {
    key: 'unit',
    head: words.heads.vehicle,
    choices: 'units',
    width: 13,
    show: (desk, row) => ({ text: nameIn(desk.units, entryIn(desk.given, row)?.unit) }),
    write: writeUnit,
  },
  entryColumn({
    key: 'driver',
    head: words.heads.driver,
    choices: 'people',
    width: 9,
    show: (desk, row) => {
      const e = entryIn(desk.given, row);
      const usual = desk.given.vehicles.find((v) => v.id === e?.unit)?.usual_driver;
      return orAssumed(nameIn(desk.people, e?.driver), nameIn(desk.people, usual));
    },
    set: (_desk, _row, text) => (show, e) => put(e, 'driver', text.trim() === '' ? undefined : personNamed(show, text)),
  }),
  entryColumn({
    key: 'crew',
    head: words.heads.crew,
    choices: 'people',
    many: true,
    width: 9,
    show: (desk, row) => ({ text: (entryIn(desk.given, row)?.crew ?? []).map((p) => nameIn(desk.people, p)).join(', ') }),
    set: (_desk, _row, text) => (show, e) => put(e, 'crew', parts(text).map((p) => personNamed(show, p))),
  }),
  entryColumn({
    key: 'reserves',
    head: words.heads.reserves,
    choices: 'units',
    many: true,
    width: 9,
    show: (desk, row) => ({ text: (entryIn(desk.given, row)?.reserves ?? []).map((u) => nameIn(desk.units, u)).join(', ') }),
    set: (desk, _row, text) => {
      const ids: string[] = [];
      for (const part of parts(text)) {
        const id = found(desk.units, part, words.noUnit);
        if (typeof id !== 'string') return id;
        ids.push(id);
      }
      return (_show, e) => put(e, 'reserves', ids);
    },
  }),
  entryColumn({
    key: 'value',
    head: words.heads.value,
    figure: true,
    width: 4,
    show: (desk, row) => orAssumed(String(entryIn(desk.given, row)?.value ?? ''), String(entryIn(desk.complete, row)?.value ?? '')),
    set: (_desk, _row, text) => {
      const t = text.trim();
      if (t !== '' && (!/^\d{1,6}$/.test(t) || Number(t) < 1)) return { refused: words.noValue(t) };
      return (_show, e) => put(e, 'value', t === '' ? undefined : Number(t));
    },
  }),
  entryColumn({
    key: 'join',
    head: words.heads.join,
    choices: 'joins',
    width: 7,
    show: (desk, row) => ({ text: nameIn(joins, entryIn(desk.given, row)?.join) }),
    set: (_desk, _row, text) => {
      const join = text.trim() === '' ? '' : found(joins, text, words.noJoin);
      if (typeof join !== 'string') return join;
      return (_show, e) => put(e, 'join', join === '' ? undefined : (join as Entry['join']));
    },
  }),
];

// columns of each kind of row. Both kinds have as many, so that they stand
// under one another.
export const columns: Record<Row['kind'], Column[]> = { serial: serialColumns, entry: entryColumns };

export function choicesOf(desk: Desk, column: Column): Choice[] {
  switch (column.choices) {
    case undefined:
      return [];
    case 'joins':
      return joins;
    default:
      return desk[column.choices];
  }
}

// textOf gives the cells of rows as they are copied: what is given, not what is
// assumed.
export function textOf(desk: Desk, rows: Row[]): string[][] {
  return rows.map((row) =>
    columns[row.kind].map((c) => {
      const shown = c.show(desk, row);
      return shown.assumed ? '' : shown.text;
    }),
  );
}
