// Rows pasted as they were copied from this table: entries under a serial, or
// serials with their entries, without headers.

import type { Problem, Show } from '../core/types';
import { words } from '../words/events';
import { readClock } from '../core/time';
import { addSerial } from './edits';
import { columns, deskOf, isEdit, type Desk, type Row } from './grid';
import { exactly } from './suggest';

const kindOf = (desk: Desk, cells: string[]): Row['kind'] | null => {
  if (exactly(desk.units, cells[0] ?? '')) return 'entry';
  const times = cells.slice(2, 6).filter((c) => c.trim() !== '');
  return times.length > 0 && times.every((c) => readClock(c, desk.day).kind === 'moment') ? 'serial' : null;
};

// ownRows puts rows copied from the table into a copy of the show: entries at
// a place of a serial, or into the serial pasted above them. null: they are
// not such rows. Problems name the row and column of what was pasted.
export function ownRows(desk: Desk, serial: string, at: number, rows: string[][]): { show: Show; problems: Problem[] } | null {
  const kinds = rows.map((cells) => kindOf(desk, cells));
  if (kinds.some((k) => k === null) || (kinds[0] === 'entry' && serial === '')) return null;
  const show = structuredClone(desk.given);
  const problems: Problem[] = [];
  let into = { serial, at };

  // write fills the cells of a row from a column on, and tells what is refused.
  const write = (row: Row, cells: string[], from: number, number: number) => {
    cells.slice(from).forEach((text, i) => {
      const column = columns[row.kind][from + i];
      if (text.trim() === '' || !column) return;
      const answer = column.write(deskOf(show, show, desk.day), row, text);
      if (isEdit(answer)) answer.change(show);
      else problems.push({ message: answer.refused, where: words.paste.where(number, from + i + 1) });
    });
  };

  rows.forEach((cells, i) => {
    if (kinds[i] === 'serial') {
      const entersAt = [cells[3], cells[2], cells[4], cells[5]].map((c) => readClock(c ?? '', desk.day)).find((t) => t.kind === 'moment');
      const made = addSerial(show, cells[0]!.trim(), entersAt!.kind === 'moment' ? entersAt!.moment : '');
      if ((cells[3] ?? '').trim() === '') delete made.arena_in;
      into = { serial: made.id, at: 0 };
      write({ key: made.id, kind: 'serial', serial: made.id }, cells, 1, i + 1);
      return;
    }
    const before = show.serials.find((s) => s.id === into.serial)!.entries.length;
    write({ key: 'new', kind: 'entry', serial: into.serial, at: into.at }, cells.slice(0, 1), 0, i + 1);
    const entries = show.serials.find((s) => s.id === into.serial)!.entries;
    if (entries.length === before) return;
    const entry = entries[into.at]!.id;
    write({ key: entry, kind: 'entry', serial: into.serial, entry }, cells, 1, i + 1);
    into.at++;
  });
  return { show, problems };
}
