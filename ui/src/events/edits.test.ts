import { describe, expect, it } from 'vitest';
import type { Show } from '../core/types';
import { addEntry, addSerial, changePlaces, entryGoes, moveEntry, personNamed, removeEntry, serialOf, serialsOn, shift, unused } from './edits';

function marsh(): Show {
  return {
    format: '1',
    name: 'Fenmoor',
    days: [{ name: 'Friday' }, { name: 'Saturday' }],
    park: { lanes: [] },
    vehicles: ['avocet', 'bittern', 'dunlin', 'knot'].map((id) => ({ id, name: id })),
    people: [{ id: 'finch', name: 'Orla Finch' }],
    serials: [
      { id: 'late', arena_in: 'D1 12:00', arena_out: 'D1 12:30', home_by: 'D1 13:00', entries: [{ id: 'late/knot', unit: 'knot' }] },
      {
        id: 'open',
        form_up: 'D1 10:00',
        arena_in: 'D1 10:20',
        arena_out: 'D1 10:40',
        entries: [
          { id: 'open/avocet', unit: 'avocet' },
          { id: 'open/bittern', unit: 'bittern' },
        ],
        leaving: ['open/bittern', 'open/avocet'],
      },
      { id: 'next', arena_in: 'D2 10:00', entries: [] },
    ],
  };
}

const units = (show: Show, id: string) => serialOf(show, id).entries.map((e) => e.unit);

describe('the order of a day', () => {
  it('goes by time, not by the order of the file', () => {
    expect(serialsOn(marsh(), 1).map((s) => s.id)).toEqual(['open', 'late']);
    expect(serialsOn(marsh(), 2).map((s) => s.id)).toEqual(['next']);
  });
});

describe('entries', () => {
  it('get an id of their own', () => {
    const show = marsh();
    expect(addEntry(show, 'open', 1, 'dunlin').id).toBe('open/dunlin');
    expect(units(show, 'open')).toEqual(['avocet', 'dunlin', 'bittern']);
    serialOf(show, 'late').entries.push({ id: 'open/knot', unit: 'knot' });
    expect(addEntry(show, 'open', 0, 'knot').id).toBe('open/knot-2');
  });

  it('that go are no longer in the order of leaving', () => {
    const show = marsh();
    removeEntry(show, 'open', 'open/bittern');
    expect(units(show, 'open')).toEqual(['avocet']);
    expect(serialOf(show, 'open').leaving).toEqual(['open/avocet']);
    removeEntry(show, 'open', 'open/avocet');
    expect(serialOf(show, 'open').leaving).toBeUndefined();
  });

  it('move within their serial and over its edge', () => {
    const show = marsh();
    expect(entryGoes(show, 'open', 'open/avocet', 1)).toEqual({ serial: 'open', at: 1 });
    expect(entryGoes(show, 'open', 'open/avocet', -1)).toBeNull();
    expect(entryGoes(show, 'open', 'open/bittern', 1)).toEqual({ serial: 'late', at: 0 });
    expect(entryGoes(show, 'late', 'late/knot', -1)).toEqual({ serial: 'open', at: 2 });
    expect(entryGoes(show, 'late', 'late/knot', 1)).toBeNull(); // not into the next day
    moveEntry(show, 'open', 'open/bittern', { serial: 'late', at: 0 });
    expect(units(show, 'late')).toEqual(['bittern', 'knot']);
    expect(serialOf(show, 'open').leaving).toEqual(['open/avocet']);
  });

  it('moved there and back stand as before', () => {
    const show = marsh();
    moveEntry(show, 'open', 'open/avocet', { serial: 'open', at: 1 });
    expect(units(show, 'open')).toEqual(['bittern', 'avocet']);
    moveEntry(show, 'open', 'open/avocet', { serial: 'open', at: 0 });
    expect(show).toEqual(marsh());
  });
});

describe('serials', () => {
  it('are moved with all times that are given, and no others', () => {
    const s = serialOf(marsh(), 'open');
    shift(s, 600);
    expect([s.form_from, s.form_up, s.arena_in, s.arena_out, s.home_by]).toEqual([undefined, 'D1 10:10', 'D1 10:30', 'D1 10:50', undefined]);
  });

  it('change places with their spans and the gap between them', () => {
    const show = marsh();
    changePlaces(marsh(), show, 'open', 'late');
    const [open, late] = [serialOf(show, 'open'), serialOf(show, 'late')];
    expect([late.arena_in, late.arena_out, late.home_by]).toEqual(['D1 10:20', 'D1 10:50', 'D1 11:20']);
    expect([open.form_up, open.arena_in, open.arena_out]).toEqual(['D1 11:50', 'D1 12:10', 'D1 12:30']); // 80 minutes after, as before
    changePlaces(show, show, 'late', 'open');
    expect(serialOf(show, 'open').arena_in).toBe('D1 10:20');
    expect(serialOf(show, 'late').arena_in).toBe('D1 12:00');
  });

  it('that are new have an id that nobody has', () => {
    const show = marsh();
    expect(addSerial(show, 'Open', 'D1 11:00').id).toBe('open-2');
    expect(addSerial(show, '', 'D1 11:30').id).toBe('serial');
    expect(serialsOn(show, 1).map((s) => s.id)).toEqual(['open', 'open-2', 'serial', 'late']);
  });
});

describe('people', () => {
  it('are found by name, and added when they are new', () => {
    const show = marsh();
    expect(personNamed(show, ' orla finch ')).toBe('finch');
    expect(personNamed(show, 'Ned Quill')).toBe('ned-quill');
    expect(personNamed(show, 'Ned Quill')).toBe('ned-quill');
    expect(show.people).toHaveLength(2);
  });
  it('of one slug get numbers', () => {
    expect(unused('a', (x) => ['a', 'a-2'].includes(x))).toBe('a-3');
  });
});
