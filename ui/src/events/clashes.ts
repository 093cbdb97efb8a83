// Where clashes are marked in the table.

import type { Clash, Show } from '../core/types';
import { columns, type Row } from './grid';
import { dayAt, secondsAt } from '../core/time';
import { firstTime } from './edits';

export interface Marked {
  number: number; // of its sentence in the list
  clash: Clash;
  day: number;
  row: string | null; // key of the row
  col: number;
}

// fields says which column a clash is about by the words of its rule; what
// none fits is marked at the row's name.
const fields: { about: RegExp; column: string }[] = [
  { about: /driver|person|crew/, column: 'driver' },
  { about: /reserve/, column: 'reserves' },
  { about: /line/, column: 'line' },
  { about: /home|reopen/, column: 'home_by' },
  { about: /clear|clos|engine hours|turn|warm|early/, column: 'form_up' },
];

// dayOf returns the day of a clash: of its serial, else of its moment; 1 when
// neither is known.
function dayOf(show: Show, clash: Clash): number {
  const serial = show.serials.find((s) => s.id === clash.serial || s.entries.some((e) => e.id === clash.entry));
  const at = (serial ? firstTime(serial) : null) ?? secondsAt(clash.at);
  return at === null ? 1 : dayAt(at);
}

// columnOf returns the column of a row that a clash is marked in.
function columnOf(show: Show, row: Row, clash: Clash): number {
  const list = columns[row.kind];
  if (row.kind === 'entry' && (clash.people?.length ?? 0) > 0) {
    const e = show.serials.find((s) => s.id === row.serial)?.entries.find((x) => x.id === row.entry);
    const crew = clash.people!.some((p) => e?.crew?.includes(p));
    return list.findIndex((c) => c.key === (crew ? 'crew' : 'driver'));
  }
  for (const f of fields) {
    const i = list.findIndex((c) => c.key === f.column);
    if (i >= 0 && f.about.test(clash.rule)) return i;
  }
  return 0;
}

// marked numbers clashes in the order of the days and gives each the cell in
// which it is marked. Those of one cell stay in the order in which they came.
export function marked(show: Show, clashes: Clash[], rows: Row[]): Marked[] {
  const byDay = clashes.map((clash, i) => ({ clash, i, day: dayOf(show, clash) })).sort((a, b) => a.day - b.day || a.i - b.i);
  return byDay.map(({ clash, day }, i) => {
    const row =
      rows.find((r) => clash.entry !== undefined && r.entry === clash.entry) ??
      rows.find((r) => r.kind === 'entry' && r.serial === clash.serial && clash.units?.[0] !== undefined && unitIn(show, r) === clash.units[0] && clash.units.length === 1) ??
      rows.find((r) => r.kind === 'serial' && clash.serial !== undefined && r.serial === clash.serial) ??
      null;
    return { number: i + 1, clash, day, row: row?.key ?? null, col: row ? columnOf(show, row, clash) : 0 };
  });
}

const unitIn = (show: Show, row: Row) => show.serials.find((s) => s.id === row.serial)?.entries.find((e) => e.id === row.entry)?.unit;
