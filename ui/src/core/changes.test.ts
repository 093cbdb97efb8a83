import { describe, expect, it } from 'vitest';
import { showChanges, stayChanges } from './changes';
import type { Show, Stay } from './types';

const show = (): Show => ({
  format: 'sallyport-show/1', name: 'Fenmoor', days: [{ name: 'Friday' }], park: { lanes: [{ id: 'A1', length_cm: 3000 }], teams: 2 },
  vehicles: [{ id: 'dunlin', name: 'Dunlin', home: { lane: 'A1', binding: 'told' } }, { id: 'knot', name: 'Knot' }, { id: 'stint', name: 'Stint' }],
  serials: [{ id: '1', name: 'Column', arena_in: 'D1 10:00', entries: [{ id: '1a', unit: 'dunlin', driver: 'orla' }, { id: '1b', unit: 'knot' }] }, { id: '2', entries: [] }],
  closings: [{ zone: 'north', closed: 'D1 09:00', reopened: 'D1 10:00' }],
});
const changed = (change: (s: Show) => void) => {
  const now = show();
  change(now);
  return showChanges(show(), now).map((c) => [c.of, c.id, c.field?.key, c.was, c.now]);
};

describe('between two shows', () => {
  it('nothing differs when nothing was done, or an empty list stands for none', () => {
    expect(changed((s) => { s.duties = []; s.vehicles[0]!.note = ''; })).toEqual([]);
  });
  it('values are named by their field', () => {
    expect(changed((s) => { s.serials[0]!.arena_in = 'D1 10:10'; s.serials[0]!.entries[0]!.driver = 'fern'; s.vehicles[0]!.home = { lane: 'A1', binding: 'fixed' }; s.park.teams = 3; }))
      .toEqual([['serials', '1', 'arena_in', 'D1 10:00', 'D1 10:10'], ['entries', '1a', 'driver', 'orla', 'fern'], ['vehicles', 'dunlin', 'home.binding', 'told', 'fixed'], ['show', '', 'park.teams', 2, 3]]);
  });
  it('rows come and go', () => {
    const list = changed((s) => { s.serials[0]!.entries.pop(); s.serials.pop(); s.vehicles.splice(1, 1, { id: 'smew', name: 'Smew' }); });
    expect(list.map(([of, id, field, was, now]) => [of, id, field, was !== undefined, now !== undefined])).toEqual([
      ['serials', '2', undefined, true, false], ['entries', '1b', undefined, true, false], ['vehicles', 'smew', undefined, false, true], ['vehicles', 'knot', undefined, true, false]]);
  });
  it('the order of vehicles is one change, whoever comes or goes', () => {
    expect(changed((s) => { s.serials[0]!.entries.reverse(); })).toEqual([['serials', '1', 'order', ['dunlin', 'knot'], ['knot', 'dunlin']]]);
    expect(changed((s) => { s.serials[0]!.entries.unshift({ id: '1c', unit: 'stint' }); }).map((c) => c[1])).toEqual(['1c']);
  });
  it('rows without an id are told apart by what they say', () => {
    expect(changed((s) => { s.closings!.push({ zone: 'north', closed: 'D1 13:00', reopened: 'D1 14:00' }); }).map((c) => [c[0], c[3] === undefined])).toEqual([['closings', true]]);
    expect(changed((s) => { s.closings![0]!.reopened = 'D1 10:30'; })).toEqual([['closings', 'north D1 09:00', 'reopened', 'D1 10:00', 'D1 10:30']]);
  });
});

describe('between two plans', () => {
  const stay = (unit: string, after: string, lane: string): Stay => ({ id: `${unit}/${after}`, unit, after, lane, from: '', to: '' });
  it('a unit is named once, at the first stay in another lane', () => {
    const was = [stay('dunlin', '', 'A1'), stay('dunlin', '1', 'A1'), stay('knot', '', 'A1')], now = [stay('dunlin', '', 'A1'), stay('dunlin', '1', 'A2'), stay('dunlin', '2', 'A2'), stay('knot', '', 'A3')];
    expect(stayChanges(was, now).map((c) => [c.id, c.after, c.was, c.now])).toEqual([['dunlin', '1', 'A1', 'A2'], ['knot', '', 'A1', 'A3']]);
  });
});
