import { describe, expect, it } from 'vitest';
import type { Comparison, Show } from '../core/types';
import { bySerial, byUnit, change, empty, namesOf, published, whenIn } from './compared';

const nothing: Comparison = { a: 'Issue 1', b: 'Draft 4', events: [], moved: [], notices: [], cost: [{ term: 'resets', was: 5, now: 5 }], total: { was: 5, now: 5 }, says: [] };
const show = {
  format: '1',
  name: 'Fenmoor',
  days: [{ name: 'Friday' }],
  park: { lanes: [{ id: 'A1', length_cm: 900 }, { id: 'B3', name: 'By the gate', length_cm: 900 }] },
  vehicles: [{ id: 'dunlin', name: 'Dunlin' }, { id: 'avocet', name: 'Avocet' }],
  combinations: [{ id: 'team', name: 'Smew team', tower: 'smew', towed: [] }],
  serials: [{ id: 'open', name: 'Opening column', entries: [] }],
  duties: [{ id: 'fuel/dunlin', unit: 'dunlin', what: 'fuel', from: 'D1 18:00', to: 'D1 18:30' }],
} as Show;

describe('a comparison', () => {
  it('is empty only when nothing at all differs', () => {
    expect(empty(nothing)).toBe(true);
    expect(empty({ ...nothing, cost: [{ term: 'resets', was: 5, now: 6 }] })).toBe(false);
    expect(empty({ ...nothing, moved: [{ unit: 'dunlin', after: '', was: 'A1', now: 'B3' }] })).toBe(false);
  });
  it('gathers changes under their serials, in the order in which they come', () => {
    const e = (serial: string, what: string) => ({ serial, what, was: '', now: '', people: [] });
    expect(bySerial({ ...nothing, events: [e('b', 'x'), e('a', 'y'), e('b', 'z')] }).map((g) => [g.serial, g.changes.map((c) => c.what)])).toEqual([
      ['b', ['x', 'z']],
      ['a', ['y']],
    ]);
  });
  it('gathers stays under their vehicles, by name', () => {
    const m = (unit: string, after: string) => ({ unit, after, was: 'A1', now: 'B3' });
    const groups = byUnit({ ...nothing, moved: [m('team', ''), m('dunlin', ''), m('avocet', ''), m('dunlin', 'open')] }, namesOf(show));
    expect(groups.map((g) => [g.name, g.stays.length])).toEqual([
      ['Avocet', 1],
      ['Dunlin', 2],
      ['Smew team', 1],
    ]);
  });
});

describe('names', () => {
  const names = namesOf(show);
  it('are those that people use; what is gone keeps its id', () => {
    expect([names.unit('team'), names.unit('gone'), names.lane('B3'), names.lane('A1'), names.serial('open'), names.after('fuel/dunlin'), names.after('open')]).toEqual([
      'Smew team',
      'gone',
      'By the gate',
      'A1',
      'Opening column',
      'fuel',
      'Opening column',
    ]);
  });
  it('of days stand for their numbers', () => {
    const when = whenIn(show);
    expect([when('D1 10:30'), when('D4 10:30'), when('')]).toEqual(['Friday 10:30', 'D4 10:30', '']);
  });
});

it('a change is more, less or the same', () => {
  expect([change(1, 3, String), change(3, 1, String), change(2, 2, String)]).toEqual(['2 more', '2 less', 'the same']);
});

it('a stamp that is none is shown as it is', () => {
  expect(published('some day')).toBe('some day');
  expect(published('2026-06-05T09:30:00Z')).toContain('2026');
});
