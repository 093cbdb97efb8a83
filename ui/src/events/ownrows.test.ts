import { describe, expect, it } from 'vitest';
import type { Show } from '../core/types';
import { cellsOf, written } from './block';
import { deskOf, rowsOf } from './grid';
import { ownRows } from './ownrows';

const show = (): Show => ({
  format: '1',
  name: 'Fenmoor',
  days: [{ name: 'Friday' }],
  park: { lanes: [], lines: [{ id: 'north', name: 'North Road' }] },
  vehicles: ['Avocet', 'Dunlin', 'Knot', 'Teal'].map((name) => ({ id: name.toLowerCase(), name })),
  people: [{ id: 'quill', name: 'Ned Quill' }],
  serials: [
    {
      id: 'open',
      name: 'Opening column',
      line: 'north',
      form_up: 'D1 10:10',
      arena_in: 'D1 10:20',
      entries: [
        { id: 'open/avocet', unit: 'avocet', driver: 'quill', value: 3 },
        { id: 'open/dunlin', unit: 'dunlin', join: 'line' },
      ],
    },
    { id: 'next', name: 'Next', arena_in: 'D1 11:20', entries: [{ id: 'next/teal', unit: 'teal' }] },
  ],
});
const desk = () => deskOf(show(), show(), 1);
const copied = (top: number, bottom: number) => cellsOf(written(desk(), rowsOf(show(), 1, null), { top, bottom, left: 0, right: 5 }));

describe('rows copied from the table', () => {
  it('are put into another serial with all they have', () => {
    const got = ownRows(desk(), 'next', 1, copied(1, 2))!;
    expect(got.problems).toEqual([]);
    expect(got.show.serials[1]!.entries).toEqual([
      { id: 'next/teal', unit: 'teal' },
      { id: 'next/avocet', unit: 'avocet', driver: 'quill', value: 3 },
      { id: 'next/dunlin', unit: 'dunlin', join: 'line' },
    ]);
  });
  it('make a new serial when one is among them', () => {
    const got = ownRows(desk(), 'next', 0, copied(0, 2))!;
    expect(got.problems).toEqual([]);
    const made = got.show.serials.find((s) => s.id === 'opening-column')!;
    expect(made).toMatchObject({ name: 'Opening column', line: 'north', form_up: 'D1 10:10', arena_in: 'D1 10:20' });
    expect(made.entries.map((e) => e.unit)).toEqual(['avocet', 'dunlin']);
    expect(got.show.serials).toHaveLength(3);
  });
  it('that do not go tell where', () => {
    const got = ownRows(desk(), 'next', 0, cellsOf('Teal\tNed Quill\nKnot\t\t\tHeron'))!;
    expect(got.problems.map((p) => p.where)).toEqual(['row 1, column 1', 'row 2, column 4']);
    expect(got.show.serials[1]!.entries.map((e) => e.unit)).toEqual(['knot', 'teal']);
  });
  it('are told from rows of other tables', () => {
    expect(ownRows(desk(), 'next', 0, cellsOf('Name\tArena in\nBird walk\t17:20'))).toBeNull();
    expect(ownRows(desk(), '', 0, cellsOf('Knot'))).toBeNull();
  });
});
