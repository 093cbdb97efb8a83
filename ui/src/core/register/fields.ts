// Every field of the register, once: where it is kept, what kind of value it
// is, in which group of the form it stands, and whether the list shows it.
// Forms, columns, sorting and search are made from this; labels are in
// words/register.ts under the same keys.

import type { Show } from '../types';

export type Kind =
  | 'text' | 'long' | 'texts' // one line; several lines; a list of short texts
  | 'length' | 'mass' | 'minutes' | 'seconds' | 'count' | 'percent' | 'chance' | 'degrees' | 'amount'
  | 'yes' | 'choice' | 'one' | 'many' // yes or no; one of choices; one or several of another table
  | 'moment' | 'window' | 'windows' | 'fouls' | 'extra';

// What an id can name: a table, or units (vehicles and combinations), or
// tables that other screens own.
export type Of = TableName | 'units' | 'serials' | 'entries';

export interface Field {
  key: string; // path in the row: "home.lane"
  kind: Kind;
  group: string;
  choices?: readonly string[];
  of?: Of;
  column?: boolean; // shown in the list
  required?: boolean;
  least?: number; most?: number; // of the stored whole number
  never?: true; // never assumed, so a gap says so
}

export type TableName =
  | 'vehicles' | 'combinations' | 'lanes' | 'lines' | 'spots' | 'zones' | 'stretches' | 'people' | 'days' | 'closings'
  | 'resets' | 'duties' | 'classes' | 'paces' | 'weights' | 'show';

export type Row = Record<string, unknown>;

export interface TableSpec {
  name: TableName;
  id?: string; // key of the field that other rows refer to
  names: string[]; // fields that say which row it is, first one given
  single?: true; // one row only, which cannot be removed
  fromTheEnd?: true; // rows are counted: added and removed at the end only
  fields: readonly Field[];
  rows: (show: Show) => readonly Row[];
  put: (show: Show, rows: Row[]) => void;
}

const gears = ['wheeled', 'half-tracked', 'tracked', 'steam', 'towed'] as const;
const reverses = ['yes', 'short', 'never'] as const;
const starts = ['self', 'slave lead', 'hand crank', 'tow'] as const;
const warmPlaces = ['in lane', 'at the mouth', 'on the line'] as const;
export const moveKinds = ['arrive', 'pull out', 'column out', 'column home', 'return', 'across', 'aside', 'put back', 'close up', 'reset', 'to duty', 'from duty', 'depart', 'couple', 'part', 'tow', 'shift'] as const;

const home: Field[] = [
  { key: 'home.lane', kind: 'one', of: 'lanes', group: 'place', column: true },
  { key: 'home.binding', kind: 'choice', choices: ['free', 'told', 'fixed'], group: 'place' },
  { key: 'home.reason', kind: 'text', group: 'place' },
];

const vehicles: Field[] = [
  { key: 'name', kind: 'text', group: 'who', column: true, required: true },
  { key: 'id', kind: 'text', group: 'who', required: true },
  { key: 'number', kind: 'text', group: 'who', column: true },
  { key: 'nicknames', kind: 'texts', group: 'who' },
  { key: 'owner', kind: 'text', group: 'who' },
  { key: 'contingent', kind: 'text', group: 'who', column: true },
  { key: 'class', kind: 'text', group: 'who', column: true },
  { key: 'placeholder', kind: 'yes', group: 'who' },
  { key: 'length_cm', kind: 'length', group: 'size', column: true, least: 1 },
  { key: 'width_cm', kind: 'length', group: 'size', least: 1, never: true },
  { key: 'height_cm', kind: 'length', group: 'size', least: 1, never: true },
  { key: 'mass_kg', kind: 'mass', group: 'size', column: true, least: 1, never: true },
  { key: 'gap_ahead_cm', kind: 'length', group: 'size', least: 0 },
  { key: 'gap_behind_cm', kind: 'length', group: 'size', least: 0 },
  { key: 'gear', kind: 'choice', choices: gears, group: 'moving', column: true },
  { key: 'reverse', kind: 'choice', choices: reverses, group: 'moving', column: true },
  { key: 'reverse_limit_cm', kind: 'length', group: 'moving', least: 1 },
  { key: 'turning_circle_cm', kind: 'length', group: 'moving', least: 1 },
  { key: 'turns_on_spot', kind: 'yes', group: 'moving' },
  { key: 'park_speed_cm_s', kind: 'count', group: 'moving', least: 1 },
  { key: 'hand_people', kind: 'count', group: 'moving', least: 0 },
  { key: 'start', kind: 'choice', choices: starts, group: 'starting' },
  { key: 'start_clear_cm', kind: 'length', group: 'starting', least: 1 },
  { key: 'start_word', kind: 'choice', choices: ['starts well', 'needs coaxing', 'doubtful', 'never seen'], group: 'starting', column: true },
  { key: 'start_chance', kind: 'chance', group: 'starting', least: 0, most: 10000 },
  { key: 'starts_tried', kind: 'count', group: 'starting', least: 0 },
  { key: 'starts_failed', kind: 'count', group: 'starting', least: 0 },
  { key: 'fail_chance', kind: 'chance', group: 'starting', least: 0, most: 10000 },
  { key: 'warm_up_s', kind: 'minutes', group: 'engine', least: 0 },
  { key: 'warm_where', kind: 'choice', choices: warmPlaces, group: 'engine' },
  { key: 'longest_idle_s', kind: 'minutes', group: 'engine', least: 0 },
  { key: 'hot_rest_s', kind: 'minutes', group: 'engine', least: 0 },
  { key: 'cool_down_s', kind: 'minutes', group: 'engine', least: 0 },
  { key: 'light_up_s', kind: 'minutes', group: 'engine', least: 0 },
  { key: 'never_alone', kind: 'yes', group: 'engine' },
  { key: 'max_runs', kind: 'count', group: 'engine', least: 0 },
  { key: 'max_running_s', kind: 'minutes', group: 'engine', least: 0 },
  ...home,
  { key: 'zones', kind: 'many', of: 'zones', group: 'place' },
  { key: 'stands_alone', kind: 'yes', group: 'place' },
  { key: 'keep_together', kind: 'many', of: 'units', group: 'place' },
  { key: 'keep_apart', kind: 'many', of: 'units', group: 'place' },
  { key: 'standby', kind: 'yes', group: 'place' },
  { key: 'owner_only', kind: 'yes', group: 'place' },
  { key: 'arrive', kind: 'window', group: 'there' },
  { key: 'depart', kind: 'window', group: 'there' },
  { key: 'off_road', kind: 'window', group: 'there' },
  { key: 'usual_driver', kind: 'one', of: 'people', group: 'people', column: true },
  { key: 'drivers', kind: 'many', of: 'people', group: 'people' },
  { key: 'note', kind: 'long', group: 'notes' },
  { key: 'extra', kind: 'extra', group: 'notes' },
];

const combinations: Field[] = [
  { key: 'name', kind: 'text', group: 'who', column: true, required: true },
  { key: 'id', kind: 'text', group: 'who', required: true },
  { key: 'tower', kind: 'one', of: 'vehicles', group: 'who', column: true, required: true },
  { key: 'towed', kind: 'many', of: 'vehicles', group: 'who', column: true, required: true },
  { key: 'length_cm', kind: 'length', group: 'size', column: true, least: 1 },
  { key: 'reverse', kind: 'choice', choices: reverses, group: 'moving', column: true },
  { key: 'reverse_limit_cm', kind: 'length', group: 'moving', least: 1 },
  { key: 'couple_at', kind: 'one', of: 'spots', group: 'moving', column: true },
  { key: 'takes_s', kind: 'minutes', group: 'moving', least: 0 },
  ...home,
];

const position: Field[] = [
  { key: 'x_cm', kind: 'length', group: 'ground' },
  { key: 'y_cm', kind: 'length', group: 'ground' },
];

const lanes: Field[] = [
  { key: 'id', kind: 'text', group: 'who', column: true, required: true },
  { key: 'name', kind: 'text', group: 'who', column: true },
  { key: 'zone', kind: 'one', of: 'zones', group: 'who', column: true },
  { key: 'kind', kind: 'choice', choices: ['dead-end', 'through', 'open'], group: 'who', column: true },
  { key: 'length_cm', kind: 'length', group: 'size', column: true, required: true, least: 1 },
  { key: 'width_cm', kind: 'length', group: 'size', least: 1, never: true },
  { key: 'max_mass_kg', kind: 'mass', group: 'size', least: 1 },
  { key: 'max_deep', kind: 'count', group: 'size', column: true, least: 0 },
  { key: 'gap_cm', kind: 'length', group: 'size', least: 0 },
  { key: 'beside', kind: 'yes', group: 'size' },
  { key: 'drive_in', kind: 'choice', choices: ['reversed', 'nose first', 'either'], group: 'moving', column: true },
  { key: 'mouth', kind: 'one', of: 'stretches', group: 'moving', column: true },
  { key: 'tail', kind: 'one', of: 'stretches', group: 'moving' },
  { key: 'closed', kind: 'windows', group: 'there' },
  ...position,
  { key: 'heading', kind: 'degrees', group: 'ground' },
];

const lines: Field[] = [
  { key: 'name', kind: 'text', group: 'who', column: true },
  { key: 'id', kind: 'text', group: 'who', column: true, required: true },
  { key: 'zone', kind: 'one', of: 'zones', group: 'who', column: true },
  { key: 'length_cm', kind: 'length', group: 'size', column: true, least: 1 },
  { key: 'gap_cm', kind: 'length', group: 'size', least: 0 },
  { key: 'out', kind: 'choice', choices: ['strict', 'free'], group: 'moving', column: true },
  { key: 'home', kind: 'choice', choices: ['in order', 'any order'], group: 'moving', column: true },
  { key: 'tail_leads', kind: 'yes', group: 'moving' },
  { key: 'fouls', kind: 'fouls', group: 'moving' },
  { key: 'emergency_route', kind: 'yes', group: 'moving' },
  ...position,
  { key: 'heading', kind: 'degrees', group: 'ground' },
];

const spots: Field[] = [
  { key: 'name', kind: 'text', group: 'who', column: true },
  { key: 'id', kind: 'text', group: 'who', column: true, required: true },
  { key: 'use', kind: 'choice', choices: ['waiting aside', 'breakdown bay', 'loading', 'coupling'], group: 'who', column: true, required: true },
  { key: 'length_cm', kind: 'length', group: 'size', column: true, least: 1 },
  { key: 'gap_cm', kind: 'length', group: 'size', least: 0 },
  { key: 'zones', kind: 'many', of: 'zones', group: 'moving', column: true },
  { key: 'emergency_route', kind: 'yes', group: 'moving' },
  ...position,
];

const stretches: Field[] = [
  { key: 'name', kind: 'text', group: 'who', column: true },
  { key: 'id', kind: 'text', group: 'who', column: true, required: true },
  { key: 'depth_cm', kind: 'length', group: 'size', column: true, least: 1 },
];

const zones: Field[] = [
  { key: 'name', kind: 'text', group: 'who', column: true },
  { key: 'id', kind: 'text', group: 'who', column: true, required: true },
  { key: 'public', kind: 'yes', group: 'public', column: true },
  { key: 'engines_with_public', kind: 'yes', group: 'public', column: true },
];

const people: Field[] = [
  { key: 'name', kind: 'text', group: 'who', column: true, required: true },
  { key: 'id', kind: 'text', group: 'who', required: true },
  { key: 'roles', kind: 'texts', group: 'who', column: true },
  { key: 'extra', kind: 'extra', group: 'notes' },
];

const days: Field[] = [
  { key: 'name', kind: 'text', group: 'who', column: true, required: true },
  { key: 'kind', kind: 'choice', choices: ['build-up', 'show', 'break-down'], group: 'who', column: true },
  { key: 'public_from', kind: 'moment', group: 'public', column: true },
  { key: 'public_to', kind: 'moment', group: 'public', column: true },
  { key: 'engine_from', kind: 'moment', group: 'public', column: true },
  { key: 'engine_to', kind: 'moment', group: 'public', column: true },
  { key: 'teams', kind: 'count', group: 'people', column: true, least: 0 },
];

const closings: Field[] = [
  { key: 'zone', kind: 'one', of: 'zones', group: 'who', column: true, required: true },
  { key: 'closed', kind: 'moment', group: 'public', column: true, required: true },
  { key: 'to_clear_s', kind: 'minutes', group: 'public', column: true, least: 0 },
  { key: 'clear', kind: 'moment', group: 'public', column: true },
  { key: 'reopened', kind: 'moment', group: 'public', column: true, required: true },
];

const resets: Field[] = [
  { key: 'id', kind: 'text', group: 'who', column: true, required: true },
  { key: 'from', kind: 'moment', group: 'there', column: true, required: true },
  { key: 'to', kind: 'moment', group: 'there', column: true, required: true },
  { key: 'awkward', kind: 'percent', group: 'moving', column: true, least: 0 },
];

const duties: Field[] = [
  { key: 'unit', kind: 'one', of: 'units', group: 'who', column: true, required: true },
  { key: 'what', kind: 'text', group: 'who', column: true, required: true },
  { key: 'id', kind: 'text', group: 'who', required: true },
  { key: 'place', kind: 'text', group: 'who', column: true },
  { key: 'from', kind: 'moment', group: 'there', column: true, required: true },
  { key: 'to', kind: 'moment', group: 'there', column: true, required: true },
  { key: 'driver', kind: 'one', of: 'people', group: 'people', column: true },
];

const classes: Field[] = [
  { key: 'name', kind: 'text', group: 'who', column: true, required: true },
  { key: 'gear', kind: 'choice', choices: gears, group: 'moving', column: true },
  { key: 'length_cm', kind: 'length', group: 'size', column: true, least: 1 },
  { key: 'reverse', kind: 'choice', choices: reverses, group: 'moving', column: true },
  { key: 'start', kind: 'choice', choices: starts, group: 'starting' },
  { key: 'start_chance', kind: 'chance', group: 'starting', column: true, least: 0, most: 10000 },
  { key: 'fail_chance', kind: 'chance', group: 'starting', column: true, least: 0, most: 10000 },
  { key: 'warm_up_s', kind: 'minutes', group: 'engine', column: true, least: 0 },
  { key: 'warm_where', kind: 'choice', choices: warmPlaces, group: 'engine' },
  { key: 'longest_idle_s', kind: 'minutes', group: 'engine', least: 0 },
  { key: 'hot_rest_s', kind: 'minutes', group: 'engine', least: 0 },
  { key: 'cool_down_s', kind: 'minutes', group: 'engine', least: 0 },
  { key: 'park_speed_cm_s', kind: 'count', group: 'moving', least: 1 },
  { key: 'awkward', kind: 'percent', group: 'moving', column: true, least: 1 },
];

const paces: Field[] = [
  { key: 'kind', kind: 'choice', choices: moveKinds, group: 'moving', column: true },
  { key: 'gear', kind: 'choice', choices: gears, group: 'moving', column: true },
  { key: 'takes_s', kind: 'seconds', group: 'moving', column: true, required: true, least: 0 },
];

const weights: Field[] = [
  { key: 'people', kind: 'count', group: 'prices', column: true, least: 0 },
  { key: 'entry', kind: 'amount', group: 'prices', column: true, least: 0 },
  { key: 'change', kind: 'amount', group: 'prices', column: true, least: 0 },
  { key: 'told', kind: 'amount', group: 'prices', column: true, least: 0 },
  { key: 'issue', kind: 'amount', group: 'prices', column: true, least: 0 },
  { key: 'together', kind: 'amount', group: 'prices', least: 0 },
  { key: 'idle_percent', kind: 'percent', group: 'prices', least: 0 },
  { key: 'heavy_from_kg', kind: 'mass', group: 'prices', least: 0 },
  { key: 'heavy_metre', kind: 'amount', group: 'prices', least: 0 },
  { key: 'start_words.starts well', kind: 'chance', group: 'starting', least: 0, most: 10000 },
  { key: 'start_words.needs coaxing', kind: 'chance', group: 'starting', least: 0, most: 10000 },
  { key: 'start_words.doubtful', kind: 'chance', group: 'starting', least: 0, most: 10000 },
  { key: 'start_words.never seen', kind: 'chance', group: 'starting', least: 0, most: 10000 },
];

const settings: Field[] = [
  { key: 'name', kind: 'text', group: 'who', column: true, required: true },
  { key: 'first_date', kind: 'text', group: 'who', column: true },
  { key: 'time_zone', kind: 'text', group: 'who', column: true },
  { key: 'park.teams', kind: 'count', group: 'people', column: true, least: 0 },
  { key: 'park.tow_percent', kind: 'percent', group: 'moving', least: 0 },
];

const rows = (list: readonly object[] | undefined) => (list ?? []) as readonly Row[];

// tables lists all tables of the register in the order in which they are
// offered. Adding one means adding it here, its labels in words/register.ts,
// and what refers to it in references.ts.
export const tables: readonly TableSpec[] = [
  { name: 'vehicles', id: 'id', names: ['name', 'id'], fields: vehicles, rows: (s) => rows(s.vehicles), put: (s, r) => { s.vehicles = r as never; } },
  { name: 'combinations', id: 'id', names: ['name', 'id'], fields: combinations, rows: (s) => rows(s.combinations), put: (s, r) => { s.combinations = r as never; } },
  { name: 'lanes', id: 'id', names: ['id'], fields: lanes, rows: (s) => rows(s.park.lanes), put: (s, r) => { s.park.lanes = r as never; } },
  { name: 'lines', id: 'id', names: ['name', 'id'], fields: lines, rows: (s) => rows(s.park.lines), put: (s, r) => { s.park.lines = r as never; } },
  { name: 'spots', id: 'id', names: ['name', 'id'], fields: spots, rows: (s) => rows(s.park.spots), put: (s, r) => { s.park.spots = r as never; } },
  { name: 'zones', id: 'id', names: ['name', 'id'], fields: zones, rows: (s) => rows(s.park.zones), put: (s, r) => { s.park.zones = r as never; } },
  { name: 'stretches', id: 'id', names: ['name', 'id'], fields: stretches, rows: (s) => rows(s.park.stretches), put: (s, r) => { s.park.stretches = r as never; } },
  { name: 'people', id: 'id', names: ['name', 'id'], fields: people, rows: (s) => rows(s.people), put: (s, r) => { s.people = r as never; } },
  { name: 'days', names: ['name'], fromTheEnd: true, fields: days, rows: (s) => rows(s.days), put: (s, r) => { s.days = r as never; } },
  { name: 'closings', names: ['zone'], fields: closings, rows: (s) => rows(s.closings), put: (s, r) => { s.closings = r as never; } },
  { name: 'resets', id: 'id', names: ['id'], fields: resets, rows: (s) => rows(s.resets), put: (s, r) => { s.resets = r as never; } },
  { name: 'duties', id: 'id', names: ['what', 'id'], fields: duties, rows: (s) => rows(s.duties), put: (s, r) => { s.duties = r as never; } },
  { name: 'classes', id: 'name', names: ['name'], fields: classes, rows: (s) => rows(s.classes as object[] | undefined), put: (s, r) => { s.classes = r; } },
  { name: 'paces', names: ['kind'], fields: paces, rows: (s) => rows(s.park.paces), put: (s, r) => { s.park.paces = r as never; } },
  { name: 'weights', names: [], single: true, fields: weights, rows: (s) => [(s.weights ?? {}) as Row], put: (s, r) => { s.weights = r[0]; } },
  { name: 'show', names: ['name'], single: true, fields: settings, rows: (s) => [s as unknown as Row], put: (s, r) => { for (const key of ['name', 'first_date', 'time_zone', 'park'] as const) s[key] = r[0]![key] as never; } },
];

export function table(name: TableName): TableSpec {
  const found = tables.find((t) => t.name === name);
  if (!found) throw new Error(`no table ${name}`);
  return found;
}

// get returns the value at a path of a row, undefined where there is none.
export function get(row: Row | undefined, path: string): unknown {
  let at: unknown = row;
  for (const key of path.split('.')) {
    if (at === undefined || at === null) return undefined;
    at = (at as Row)[key];
  }
  return at;
}

// set returns a copy of the row with the value at a path; undefined takes it
// away, and an object that becomes empty goes with it.
export function set(row: Row, path: string, value: unknown): Row {
  const [key, ...rest] = path.split('.') as [string, ...string[]];
  const copy = { ...row };
  if (rest.length > 0) {
    const inner = set((copy[key] as Row | undefined) ?? {}, rest.join('.'), value);
    value = Object.keys(inner).length > 0 ? inner : undefined;
  }
  if (value === undefined) delete copy[key];
  else copy[key] = value;
  return copy;
}

// empty reports whether a field is not given.
export function empty(value: unknown): boolean {
  return value === undefined || value === null || value === '' || (Array.isArray(value) && value.length === 0);
}
