// What a person types into a field of the register, read into what is stored,
// and back. Whole numbers only: centimetres, kilograms, seconds, 1/10,000. A
// value that cannot be read gives a sentence; nothing is guessed.

import type { Show, Window } from '../types';
import type { Field, Row, TableName } from './fields';
import { table } from './fields';
import { decimal, feet, kgPerPound, metres, readLength, readMass, readSpan, type System } from '../measure';
import { readMoment, writeMoment } from '../time';

// Where texts come from: reading and writing never hold a sentence of their own.
export interface Says {
  length: (text: string) => string; mass: (text: string) => string; number: (text: string) => string;
  chance: (text: string) => string; moment: (text: string) => string; choice: (text: string, choices: readonly string[]) => string;
  unknown: (text: string, of: string) => string; least: (least: string) => string; most: (most: string) => string;
  required: string; window: string; foul: (text: string) => string; extra: (text: string) => string;
  yes: string; no: string; from: string; to: string; until: string;
}

export interface Context { show: Show; system: System; says: Says }

export type Read = { value: unknown } | { wrong: string };

function whole(text: string): number | undefined {
  return /^[+-]?\d+$/.test(text.trim()) ? Number(text.trim()) : undefined;
}

function span(seconds: number): string {
  return seconds % 60 === 0 ? String(seconds / 60) : seconds % 3600 === 0 ? String(seconds / 60) : (seconds / 60).toFixed(2).replace(/\.?0+$/, '');
}

// readChance reads "97 %", "97" and "0.97"; a bare 1 is 1 %. Stored in 1/10,000.
export function readChance(text: string): number | undefined {
  const t = text.replace('%', '').trim();
  const n = decimal(t);
  if (n === undefined) return undefined;
  return Math.round(n < 1 && !text.includes('%') ? n * 10000 : n * 100);
}

function percent(chance: number): string {
  return (chance / 100).toFixed(2).replace(/\.?0+$/, '');
}

// split takes a list of names apart at semicolons, commas and line ends.
export function split(text: string): string[] {
  return text.split(/[;,\n]/).map((s) => s.trim()).filter((s) => s !== '');
}

// named lists what a reference can name: ids with the names people know.
export function named(show: Show, of: NonNullable<Field['of']>): { id: string; name: string }[] {
  const from = (name: TableName) => {
    const t = table(name);
    return t.rows(show).map((r) => ({ id: String(r[t.id ?? 'id'] ?? ''), name: label(r, t.names) }));
  };
  switch (of) {
    case 'units': return [...from('vehicles'), ...from('combinations')];
    case 'serials': return show.serials.map((s) => ({ id: s.id, name: s.name || s.id }));
    case 'entries': return show.serials.flatMap((s) => s.entries.map((e) => ({ id: e.id, name: e.id })));
    default: return from(of);
  }
}

function label(row: Row, names: string[]): string {
  for (const key of names) if (row[key]) return String(row[key]);
  return '';
}

function find(ctx: Context, field: Field, text: string): string | undefined {
  const list = named(ctx.show, field.of!);
  const want = text.trim().toLowerCase();
  const fits = [list.filter((x) => x.id === text.trim()), list.filter((x) => x.id.toLowerCase() === want || x.name.toLowerCase() === want)].find((l) => l.length > 0);
  return fits?.length === 1 ? fits[0]!.id : undefined;
}

// A reader takes trimmed, non-empty text; a writer a value that is given.
interface ValueKind {
  read: (text: string, field: Field, ctx: Context) => Read;
  write: (value: never, field: Field, ctx: Context) => string;
}

const wrong = (sentence: string): Read => ({ wrong: sentence });
const got = (value: unknown, sentence: string): Read => value === undefined ? wrong(sentence) : { value };

function bounded(value: number | undefined, field: Field, sentence: string, ctx: Context): Read {
  if (value === undefined) return wrong(sentence);
  if (field.least !== undefined && value < field.least) return wrong(ctx.says.least(written(field, field.least, ctx)));
  if (field.most !== undefined && value > field.most) return wrong(ctx.says.most(written(field, field.most, ctx)));
  return { value };
}

const text: ValueKind = { read: (t) => ({ value: t }), write: (v: string) => v };
const number: ValueKind = { read: (t, f, c) => bounded(whole(t), f, c.says.number(t), c), write: (v: number) => String(v) };
const kinds: Record<Field['kind'], ValueKind> = {
  text,
  long: text,
  texts: { read: (t) => ({ value: split(t) }), write: (v: string[]) => v.join('; ') },
  length: {
    read: (t, f, c) => bounded(readLength(t, c.system), f, c.says.length(t), c),
    write: (v: number, _f, c) => c.system === 'metric' ? metres(v) : feet(v),
  },
  mass: {
    read: (t, f, c) => bounded(readMass(t, c.system), f, c.says.mass(t), c),
    write: (v: number, _f, c) => String(c.system === 'metric' ? v : Math.round(v / kgPerPound)),
  },
  minutes: { read: (t, f, c) => bounded(readSpan(t), f, c.says.number(t), c), write: (v: number) => span(v) },
  seconds: { read: (t, f, c) => bounded(readSpan(t, 'seconds'), f, c.says.number(t), c), write: (v: number) => String(v) },
  count: number,
  amount: number,
  percent: { ...number, read: (t, f, c) => number.read(t.replace('%', ''), f, c) },
  degrees: {
    read: (t, f, c) => { const n = whole(t.replace('°', '')); return n === undefined ? wrong(c.says.number(t)) : bounded(((n % 360) + 360) % 360, f, '', c); },
    write: (v: number) => String(v),
  },
  chance: { read: (t, f, c) => bounded(readChance(t), f, c.says.chance(t), c), write: (v: number) => percent(v) },
  yes: {
    read: (t, _f, c) => {
      const low = t.toLowerCase();
      if (['yes', 'y', 'true', 'x', '1', c.says.yes.toLowerCase()].includes(low)) return { value: true };
      return ['no', 'n', 'false', '0', '–', c.says.no.toLowerCase()].includes(low) ? { value: undefined } : wrong(c.says.choice(t, [c.says.yes, c.says.no]));
    },
    write: (v: boolean, _f, c) => v ? c.says.yes : c.says.no,
  },
  choice: {
    read: (t, f, c) => got(f.choices!.find((x) => x === t.toLowerCase()), c.says.choice(t, f.choices!)),
    write: (v: string) => v,
  },
  one: {
    read: (t, f, c) => got(find(c, f, t), c.says.unknown(t, f.of!)),
    write: (v: string, f, c) => named(c.show, f.of!).find((x) => x.id === v)?.name ?? v,
  },
  many: {
    read: (t, f, c) => {
      const ids: string[] = [];
      for (const name of split(t)) {
        const id = find(c, f, name);
        if (id === undefined) return wrong(c.says.unknown(name, f.of!));
        if (!ids.includes(id)) ids.push(id);
      }
      return { value: ids };
    },
    write: (v: string[], f, c) => { const list = named(c.show, f.of!); return v.map((id) => list.find((x) => x.id === id)?.name ?? id).join('; '); },
  },
  moment: {
    read: (t, _f, c) => got(readMoment(t, c.show.days), c.says.moment(t)),
    write: (v: string, _f, c) => writeMoment(v, c.show.days),
  },
  window: {
    read: readWindow,
    write: (v: Window, _f, c) => writeWindow(v, c),
  },
  windows: {
    read: (t, f, c) => {
      const list: unknown[] = [];
      for (const part of split(t)) {
        const one = readWindow(part, f, c);
        if ('wrong' in one) return one;
        list.push(one.value);
      }
      return { value: list };
    },
    write: (v: Window[], _f, c) => v.map((w) => writeWindow(w, c)).join('; '),
  },
  fouls: { read: readFouls, write: (v: Foul[], _f, c) => v.map((x) => `${lengthText(x.from_cm, c)}–${lengthText(x.to_cm, c)}: ${x.lanes.join(', ')}`).join('\n') },
  extra: { read: readExtra, write: (v: Record<string, string>) => Object.entries(v).map(([k, x]) => `${k}: ${x}`).join('\n') },
};

interface Foul { from_cm: number; to_cm: number; lanes: string[] }

const lengthText = (cm: number, ctx: Context) => ctx.system === 'metric' ? metres(cm) : feet(cm);

// A window is typed "Fri 10:00 – Fri 16:00", "from Fri 10:00", "until Fri 16:00".
function readWindow(t: string, _f: Field, c: Context): Read {
  const { from, to, until } = c.says;
  const lower = t.toLowerCase();
  const cut = (word: string) => t.slice(word.length).trim();
  if (lower.startsWith(until.toLowerCase())) {
    const m = readMoment(cut(until), c.show.days);
    return m ? { value: { to: m } } : wrong(c.says.moment(cut(until)));
  }
  const body = lower.startsWith(from.toLowerCase()) ? cut(from) : t;
  const parts = body.split(new RegExp(`\\s*[–—]\\s*|\\s+-\\s+|\\s+${to}\\s+`, 'i'));
  if (parts.length > 2) return wrong(c.says.window);
  const a = readMoment(parts[0]!, c.show.days);
  if (!a) return wrong(c.says.moment(parts[0]!));
  if (parts.length === 1) return { value: { from: a } };
  const b = readMoment(parts[1]!, c.show.days, a);
  return b ? { value: { from: a, to: b } } : wrong(c.says.moment(parts[1]!));
}

function writeWindow(w: Window, c: Context): string {
  const [a, b] = [w.from && writeMoment(w.from, c.show.days), w.to && writeMoment(w.to, c.show.days)];
  if (a && b) return `${a} – ${b}`;
  return a ? `${c.says.from} ${a}` : b ? `${c.says.until} ${b}` : '';
}

// Fouls are typed one a line: "0–12.50: A1, A2".
function readFouls(t: string, _f: Field, c: Context): Read {
  const list: Foul[] = [];
  for (const line of t.split('\n').map((s) => s.trim()).filter((s) => s !== '')) {
    const m = /^(.+?)\s*[–—-]\s*(.+?)\s*:\s*(.+)$/.exec(line);
    const from = m && readLength(m[1]!, c.system), to = m && readLength(m[2]!, c.system);
    if (!m || from == null || to == null || to <= from) return wrong(c.says.foul(line));
    const lanes: string[] = [];
    for (const name of split(m[3]!)) {
      const id = c.show.park.lanes.find((l) => l.id.toLowerCase() === name.toLowerCase())?.id;
      if (id === undefined) return wrong(c.says.unknown(name, 'lanes'));
      lanes.push(id);
    }
    list.push({ from_cm: from, to_cm: to, lanes });
  }
  return { value: list };
}

// Further columns are typed one a line: "Insurance: paid".
function readExtra(t: string, _f: Field, c: Context): Read {
  const all: Record<string, string> = {};
  for (const line of t.split('\n').map((s) => s.trim()).filter((s) => s !== '')) {
    const at = line.indexOf(':');
    if (at < 1) return wrong(c.says.extra(line));
    all[line.slice(0, at).trim()] = line.slice(at + 1).trim();
  }
  return { value: all };
}

// read reads what was typed into a field; empty text takes the value away, so
// that it is assumed, or is wrong where the field is required.
export function read(field: Field, typed: string, ctx: Context): Read {
  const t = typed.trim();
  if (t === '') return field.required ? wrong(ctx.says.required) : { value: undefined };
  const r = kinds[field.kind].read(t, field, ctx);
  return 'value' in r && Array.isArray(r.value) && r.value.length === 0 ? (field.required ? wrong(ctx.says.required) : { value: undefined }) : r;
}

// written returns a value as it would be typed; "" when it is not given.
export function written(field: Field, value: unknown, ctx: Context): string {
  if (value === undefined || value === null) return '';
  return kinds[field.kind].write(value as never, field, ctx);
}

// sortKey returns what a column is sorted by: figures as figures.
export function sortKey(field: Field, value: unknown, ctx: Context): number | string {
  if (typeof value === 'number') return value;
  if (field.kind === 'moment' && typeof value === 'string') return value.replace(/^D(\d) /, 'D0$1 ');
  return written(field, value, ctx);
}
