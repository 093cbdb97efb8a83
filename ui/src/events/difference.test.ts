import { describe, expect, it } from 'vitest';
import type { Show } from '../core/types';
import { difference } from './difference';
import { deskOf } from './grid';

const show = (): Show => ({
  format: '1',
  name: 'Fenmoor',
  days: [{ name: 'Friday' }],
  park: { lanes: [] },
  vehicles: [{ id: 'knot', name: 'Knot' }, { id: 'dunlin', name: 'Dunlin' }],
  people: [],
  serials: [
    { id: 'open', name: 'Opening column', arena_in: 'D1 10:20', entries: [{ id: 'open/knot', unit: 'knot' }] },
    { id: 'next', name: 'Next', arena_in: 'D1 11:20', entries: [] },
  ],
});

describe('what was pasted', () => {
  it('changes nothing when it is the same', () => {
    expect(difference(deskOf(show(), show(), 1), show(), show())).toEqual({ lines: [], serials: 0, entries: 0 });
  });
  it('is told serial by serial and entry by entry', () => {
    const after = show();
    after.serials[0]!.entries = [{ id: 'open/dunlin', unit: 'dunlin' }];
    after.serials[1]!.arena_in = 'D1 11:30';
    after.serials.push({ id: 'new', name: 'Bird walk', arena_in: 'D1 12:20', entries: [{ id: 'new/knot', unit: 'knot' }] });
    after.people = [{ id: 'quill', name: 'Ned Quill' }];
    expect(difference(deskOf(show(), show(), 1), show(), after)).toEqual({
      lines: [
        'Dunlin is put into Opening column',
        'Knot is taken out of Opening column',
        'Next is changed',
        'Bird walk at 12:20 is new, with 1 entry',
        'New people: Ned Quill',
      ],
      serials: 3,
      entries: 2,
    });
    expect(difference(deskOf(show(), show(), 1), after, show()).lines).toContain('Bird walk is taken out');
  });
});
