import { describe, expect, it } from 'vitest';
import type { Show } from '../core/types';
import { between, cellsOf, cleared, filled, written } from './block';
import { chartOf } from './chart';
import { marked } from './clashes';
import { columns, deskOf, isEdit, rowsOf, type Desk } from './grid';
import { serialOf } from './edits';
import { exactly, lastPart, parts, suggest } from './suggest';

function marsh(): Show {
  return {
    format: '1',
    name: 'Fenmoor',
    days: [{ name: 'Friday' }],
    park: { lanes: [], lines: [{ id: 'north', name: 'North Road' }], zones: [{ id: 'green', name: 'Orchard Green' }] },
    closings: [{ zone: 'green', closed: 'D1 09:30', reopened: 'D1 10:50' }],
    vehicles: [
      { id: 'avocet', name: 'Avocet', number: 'F 1', usual_driver: 'finch' },
      { id: 'dunlin', name: 'Dunlin', number: 'F 12', nicknames: ['Mudlark'] },
      { id: 'dunnock', name: 'Dunnock', number: 'F 2' },
    ],
    combinations: [{ id: 'team', name: 'Smew team', tower: 'smew', towed: [] }],
    people: [{ id: 'finch', name: 'Orla Finch' }],
    serials: [
      {
        id: 'open',
        name: 'Opening column',
        form_up: 'D1 10:00',
        arena_in: 'D1 10:20',
        arena_out: 'D1 10:40',
        home_by: 'D1 11:10',
        entries: [
          { id: 'open/avocet', unit: 'avocet' },
          { id: 'open/dunlin', unit: 'dunlin', driver: 'finch', crew: ['finch'] },
        ],
      },
      { id: 'next', name: 'Next', form_up: 'D1 11:00', arena_in: 'D1 11:20', arena_out: 'D1 11:40', home_by: 'D1 12:00', entries: [{ id: 'next/dunlin', unit: 'dunlin' }] },
    ],
  };
}

const desk = (show = marsh()): Desk => deskOf(show, show, 1);
const column = (kind: 'serial' | 'entry', key: string) => columns[kind].find((c) => c.key === key)!;
const rows = () => rowsOf(marsh(), 1, null);
const row = (key: string) => rows().find((r) => r.key === key)!;

function typed(kind: 'serial' | 'entry', key: string, rowKey: string, text: string) {
  const show = marsh();
  const answer = column(kind, key).write(deskOf(show, show, 1), row(rowKey), text);
  if (!isEdit(answer)) return { refused: answer.refused, what: '', show: null };
  answer.change(show);
  return { refused: '', what: answer.what, show };
}

describe('rows', () => {
  it('are serials with their entries, and both kinds have as many columns', () => {
    expect(rows().map((r) => r.key)).toEqual(['open', 'open|open/avocet', 'open|open/dunlin', 'next', 'next|next/dunlin']);
    expect(columns.serial.length).toBe(columns.entry.length);
  });
  it('have the new one where it is to be', () => {
    expect(rowsOf(marsh(), 1, { kind: 'entry', serial: 'open', at: 1 }).map((r) => r.key)).toEqual(['open', 'open|open/avocet', 'new', 'open|open/dunlin', 'next', 'next|next/dunlin']);
    expect(rowsOf(marsh(), 1, { kind: 'serial' }).at(-1)!.kind).toBe('serial');
  });
});

describe('a cell', () => {
  it('shows what is given, else what is assumed, and says so', () => {
    expect(column('entry', 'driver').show(desk(), row('open|open/avocet'))).toEqual({ text: 'Orla Finch', assumed: true });
    expect(column('entry', 'driver').show(desk(), row('open|open/dunlin'))).toEqual({ text: 'Orla Finch' });
    const complete = marsh();
    complete.serials[0]!.line = 'north';
    expect(column('serial', 'line').show(deskOf(marsh(), complete, 1), row('open'))).toEqual({ text: 'North Road', assumed: true });
  });

  it('takes a time in any of its forms and calls the edit by it', () => {
    const x = typed('serial', 'arena_in', 'open', '1040');
    expect(x.what).toBe('Opening column: arena in 10:40');
    expect(serialOf(x.show!, 'open').arena_in).toBe('D1 10:40');
  });

  it('moves the whole serial by minutes', () => {
    const x = typed('serial', 'form_up', 'open', '+10');
    expect(x.what).toBe('Opening column: all 10 minutes later');
    expect(serialOf(x.show!, 'open').home_by).toBe('D1 11:20');
  });

  it.each([
    ['serial', 'arena_in', 'open', 'noon', '“noon” is not a time'],
    ['serial', 'line', 'open', 'South', 'no forming-up line “South”'],
    ['entry', 'unit', 'open|open/avocet', 'Heron', 'No vehicle is called “Heron”'],
    ['entry', 'unit', 'open|open/avocet', 'Dunlin', 'Dunlin is in Opening column already'],
    ['entry', 'unit', 'open|open/avocet', '', 'An entry needs a vehicle'],
    ['entry', 'value', 'open|open/avocet', '0', '“0” is not a value'],
    ['entry', 'reserves', 'open|open/avocet', 'Dunnock, Heron', 'No vehicle is called “Heron”'],
    ['entry', 'join', 'open|open/avocet', 'perhaps', '“perhaps” is none of'],
  ] as const)('%s %s of %s refuses %s', (kind, key, rowKey, text, sentence) => {
    expect(typed(kind, key, rowKey, text).refused).toContain(sentence);
  });

  it('finds vehicles by name, number and nickname', () => {
    for (const text of ['dunnock', 'F 2', 'Dunnock']) expect(typed('entry', 'unit', 'open|open/avocet', text).show!.serials[0]!.entries[0]!.unit).toBe('dunnock');
    expect(typed('entry', 'reserves', 'open|open/avocet', 'mudlark; Smew team').show!.serials[0]!.entries[0]!.reserves).toEqual(['dunlin', 'team']);
  });

  it('adds a driver who is new to the people', () => {
    const show = typed('entry', 'driver', 'open|open/avocet', 'Ned Quill').show!;
    expect(show.serials[0]!.entries[0]!.driver).toBe('ned-quill');
    expect(show.people!.map((p) => p.name)).toEqual(['Orla Finch', 'Ned Quill']);
  });

  it('that is emptied is not given', () => {
    expect('home_by' in serialOf(typed('serial', 'home_by', 'open', '').show!, 'open')).toBe(false);
    expect('driver' in typed('entry', 'driver', 'open|open/dunlin', ' ').show!.serials[0]!.entries[1]!).toBe(false);
  });

  it('of a new row begins with what the row needs', () => {
    const show = marsh();
    const d = deskOf(show, show, 1);
    const entry = rowsOf(show, 1, { kind: 'entry', serial: 'open', at: 1 })[2]!;
    expect(column('entry', 'driver').write(d, entry, 'Orla Finch')).toEqual({ refused: 'Give first which vehicle it is.' });
    const added = column('entry', 'unit').write(d, entry, 'Dunnock');
    if (!isEdit(added)) throw new Error(added.refused);
    added.change(show);
    expect(serialOf(show, 'open').entries.map((e) => e.unit)).toEqual(['avocet', 'dunnock', 'dunlin']);
  });
});

describe('blocks', () => {
  it('are copied as spreadsheets take them, without what is assumed', () => {
    expect(written(desk(), rows(), between({ row: 2, col: 1 }, { row: 1, col: 0 }))).toBe('Avocet\t\nDunlin\tOrla Finch');
  });
  it('are read with quotes', () => {
    expect(cellsOf('a\tb\r\n"c\n1"\t"say ""d"""\n')).toEqual([
      ['a', 'b'],
      ['c\n1', 'say "d"'],
    ]);
    expect(cellsOf('')).toEqual([['']]);
  });
  it('fill cells as one edit', () => {
    const show = marsh();
    const x = filled(desk(show), rows(), { row: 1, col: 1 }, cellsOf('Ned Quill\nNed Quill'), (n, first) => `${first} +${n - 1}`);
    x.edit!.change(show);
    expect(show.serials[0]!.entries.map((e) => e.driver)).toEqual(['ned-quill', 'ned-quill']);
    expect(x.edit!.what).toBe('Avocet in Opening column: driver Ned Quill +1');
  });
  it('that hold anything wrong change nothing and tell all of it', () => {
    const x = filled(desk(), rows(), { row: 1, col: 4 }, cellsOf('2\tno\n-\tx\ty'), () => '');
    expect(x.edit).toBeNull();
    expect(x.problems.map((p) => [p.spot.row, p.spot.col])).toEqual([
      [2, 4],
      [2, 5],
      [2, 6],
    ]);
  });
  it('are emptied but for names', () => {
    const show = marsh();
    cleared(desk(show), rows(), between({ row: 1, col: 0 }, { row: 2, col: 2 })).edit!.change(show);
    expect(show.serials[0]!.entries).toEqual([
      { id: 'open/avocet', unit: 'avocet' },
      { id: 'open/dunlin', unit: 'dunlin' },
    ]);
  });
});

describe('type-ahead', () => {
  const units = desk().units;
  it('puts the beginning of a name before its middle', () => {
    expect(suggest(units, 'dun').map((c) => c.name)).toEqual(['Dunlin', 'Dunnock']);
    expect(suggest(units, 'team').map((c) => c.name)).toEqual(['Smew team']);
    expect(suggest(units, 'F 1').map((c) => c.name)).toEqual(['Avocet', 'Dunlin']);
    expect(suggest(units, 'zz')).toEqual([]);
    expect(suggest(units, '', 2)).toHaveLength(2);
  });
  it('takes a name in full only', () => {
    expect(exactly(units, 'avocet')?.id).toBe('avocet');
    expect(exactly(units, 'avo')).toBeNull();
    expect(exactly(units, '')).toBeNull();
  });
  it('is about the last of several names', () => {
    expect(lastPart('Avocet, Du')).toEqual({ before: 'Avocet, ', part: 'Du' });
    expect(lastPart('Du')).toEqual({ before: '', part: 'Du' });
    expect(parts('Avocet, ; Dunlin,')).toEqual(['Avocet', 'Dunlin']);
  });
});

describe('clashes', () => {
  it('are marked in the cell they are about, numbered by day', () => {
    const show = marsh();
    const got = marked(
      show,
      [
        { rule: 'still out', entry: 'next/dunlin', serial: 'next', sentence: 'a' },
        { rule: 'person on two vehicles', entry: 'open/dunlin', people: ['finch'], sentence: 'b' },
        { rule: 'line overfull', serial: 'open', sentence: 'c' },
        { rule: 'anything', sentence: 'd' },
      ],
      rows(),
    );
    expect(got.map((m) => [m.number, m.row, m.col])).toEqual([
      [1, 'next|next/dunlin', 0],
      [2, 'open|open/dunlin', 2],
      [3, 'open', 1],
      [4, null, 0],
    ]);
  });
});

describe('the chart of a day', () => {
  it('spans whole hours, with turn-rounds and closings', () => {
    const chart = chartOf(marsh(), 1)!;
    expect([chart.from / 3600, chart.to / 3600]).toEqual([10, 12]);
    expect(chart.bands.map((b) => b.name)).toEqual(['Opening column', 'Next']);
    expect(chart.turns).toEqual([{ unit: 'dunlin', fromRow: 0, toRow: 1, from: 40200, to: 39600, spare: -600, joined: false }]);
    expect(chart.closings).toEqual([{ zone: 'Orchard Green', from: 36000, to: 39000 }]);
  });
  it('is none when nothing has a time', () => {
    expect(chartOf(marsh(), 2)).toBeNull();
  });
});
