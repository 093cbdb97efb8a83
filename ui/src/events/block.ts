// Blocks of cells: copied, cleared, filled from what was pasted.

import type { Show } from '../core/types';
import { words } from '../words/events';
import { columns, isEdit, textOf, type Desk, type Edit, type Row } from './grid';

// Spot is a cell by the numbers of its row and column.
export interface Spot {
  row: number;
  col: number;
}

export interface Block {
  top: number;
  bottom: number;
  left: number;
  right: number;
}

// between returns the block that has two cells as corners.
export function between(a: Spot, b: Spot): Block {
  return { top: Math.min(a.row, b.row), bottom: Math.max(a.row, b.row), left: Math.min(a.col, b.col), right: Math.max(a.col, b.col) };
}

// written gives a block as tab-separated text, as spreadsheets take it.
export function written(desk: Desk, rows: Row[], block: Block): string {
  return textOf(desk, rows.slice(block.top, block.bottom + 1))
    .map((cells) => cells.slice(block.left, block.right + 1).map(quoted).join('\t'))
    .join('\n');
}

const quoted = (cell: string) => (/[\t\n"]/.test(cell) ? `"${cell.replaceAll('"', '""')}"` : cell);

// cellsOf reads tab-separated text; quotes may hold tabs and new lines.
export function cellsOf(text: string): string[][] {
  const rows: string[][] = [[]];
  let i = 0;
  const t = text.replace(/\r\n?/g, '\n').replace(/\n$/, '');
  const unquoted = () => {
    const from = i;
    while (i < t.length && t[i] !== '\t' && t[i] !== '\n') i++;
    return t.slice(from, i);
  };
  const inQuotes = () => {
    let cell = '';
    for (i++; i < t.length && !(t[i] === '"' && t[i + 1] !== '"'); i++) {
      if (t[i] === '"') i++;
      cell += t[i];
    }
    i++;
    return cell + unquoted();
  };
  for (;;) {
    rows.at(-1)!.push(t[i] === '"' ? inQuotes() : unquoted());
    if (i >= t.length) return rows;
    if (t[i] === '\n') rows.push([]);
    i++;
  }
}

export interface Filled {
  edit: Edit | null; // null: nothing to change, or something is refused
  problems: { spot: Spot; sentence: string }[];
}

// filled puts cells into the table, the first of them at a cell, as one edit.
// All that is refused is told; then nothing is changed.
export function filled(desk: Desk, rows: Row[], at: Spot, cells: string[][], what: (cells: number, first: string) => string): Filled {
  const problems: Filled['problems'] = [];
  const changes: Edit[] = [];
  cells.forEach((line, r) =>
    line.forEach((text, c) => {
      const spot = { row: at.row + r, col: at.col + c };
      const row = rows[spot.row];
      const column = row && columns[row.kind][spot.col];
      if (!column) {
        problems.push({ spot, sentence: words.pastTheEnd(text) });
        return;
      }
      const shown = column.show(desk, row);
      if ((shown.assumed ? '' : shown.text) === text.trim()) return;
      const answer = column.write(desk, row, text);
      if (isEdit(answer)) changes.push(answer);
      else problems.push({ spot, sentence: answer.refused });
    }),
  );
  if (problems.length > 0 || changes.length === 0) return { edit: null, problems };
  const edit = { what: changes.length === 1 ? changes[0]!.what : what(changes.length, changes[0]!.what), change: (s: Show) => changes.forEach((x) => x.change(s)) };
  return { edit, problems };
}

// cleared empties the cells of a block, as one edit. Names of serials and
// vehicles stay: to take those out is asked first.
export function cleared(desk: Desk, rows: Row[], block: Block): Filled {
  const first = rows[block.top];
  const left = Math.max(block.left, 1);
  if (!first || left > block.right) return { edit: null, problems: [] };
  const empty = Array.from({ length: block.bottom - block.top + 1 }, () => Array.from({ length: block.right - left + 1 }, () => ''));
  return filled(desk, rows, { row: block.top, col: left }, empty, words.did.clearedCells);
}
