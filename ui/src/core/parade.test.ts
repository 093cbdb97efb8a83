import { describe, expect, test } from 'vitest';
import type { Answer } from './parade';
import { acknowledged, firstParade, fold, found, give, limits, momentNow, next, placesAt, roomLeft, round, unsent } from './parade';
import type { Film, Show } from './types';

const show: Show = {
  format: '', name: 'Fenmoor', first_date: '2027-06-24', time_zone: 'Europe/London', days: [{ name: 'Thursday' }, { name: 'Friday' }],
  park: { lanes: [{ id: 'B1', length_cm: 2000 }, { id: 'A1', length_cm: 2000 }], spots: [{ id: 'bay', use: 'breakdown bay' }] },
  vehicles: [{ id: 'avocet', name: 'Avocet', number: '12' }, { id: 'bittern', name: 'Bittern' }, { id: 'crake', name: 'Crake' }, { id: 'dunlin', name: 'Dunlin' }, { id: 'eider', name: 'Eider' }],
  serials: [
    { id: '4', name: 'Late', form_up: 'D2 14:00', entries: [{ id: '4/a', unit: 'avocet' }] },
    { id: '3', name: 'Early', arena_in: 'D2 10:30', entries: [{ id: '3/a', unit: 'avocet' }, { id: '3/d', unit: 'dunlin' }] },
  ],
};
const film: Film = {
  from: 'D1 08:00', to: 'D2 18:00',
  start: { avocet: { in: 'lane', id: 'A1', from_cm: 0 }, bittern: { in: 'lane', id: 'A1', from_cm: 700, nose_in: true }, crake: { in: 'spot', id: 'bay' }, dunlin: { in: 'lane', id: 'B1', from_cm: 0 }, eider: { in: 'away' } },
  steps: [{ move: 'm1', at: 'D1 10:00', ends: 'D1 10:05', to: { avocet: { in: 'lane', id: 'B1', from_cm: 900 } } }],
};

describe('the round', () => {
  test('lane by lane in the order of the park, mouth first, then spots; who is away is left out', () => {
    expect(round(show, film, 'D1 09:00').map((s) => [s.unit, s.lane, s.place, s.deep])).toEqual([['dunlin', 'B1', 1, 1], ['avocet', 'A1', 1, 2], ['bittern', 'A1', 2, 2], ['crake', '', 1, 1]]);
    expect(round(show, film, 'D2 07:00').map((s) => s.unit)).toEqual(['dunlin', 'avocet', 'bittern', 'crake']);
    expect(placesAt(film, 'D1 09:59').avocet!.id).toBe('A1');
    expect(placesAt(film, 'D1 10:00').avocet!.id).toBe('B1');
    expect(round(show, undefined, 'D1 09:00')).toEqual([]);
  });
  test('says the first serial of that day', () => {
    const avocet = (at: string) => round(show, film, at).find((s) => s.unit === 'avocet')!;
    expect(avocet('D2 07:00').first).toEqual({ serial: '3', name: 'Early', formUp: 'D2 10:30' });
    expect(avocet('D2 12:00').first!.serial).toBe('4');
    expect(avocet('D1 09:00').first).toBeUndefined();
    expect(avocet('D2 07:00').number).toBe('12');
  });
});

describe('answers', () => {
  const at = 'D2 07:00', here = (unit: string) => [{ kind: 'here', unit }];
  test('one that was not sent is replaced, one that was sent is said anew', () => {
    let list = give([], 'avocet', at, here('avocet'));
    list = give(list, 'avocet', at, [{ kind: 'do not move', unit: 'avocet' }]);
    expect(list.map((a) => a.happenings[0]!.kind)).toEqual(['do not move']);
    list = acknowledged(list, list.map((a) => a.key));
    list = give(list, 'avocet', at, here('avocet'));
    expect(list.map((a) => [a.happenings[0]!.kind, a.sent])).toEqual([['do not move', true], ['here', false]]);
    expect(new Set(list.map((a) => a.key)).size).toBe(2);
    expect(unsent(list)).toHaveLength(1);
    expect(list[1]!.happenings[0]!.at).toBe(at);
  });
  test('a finding takes the place of what was said before; a late start joins the limits', () => {
    const said = [...limits('avocet', true, 2, 'D2 11:00'), ...here('bittern')].map((h) => ({ ...h, at }));
    expect(fold(said, at).get('avocet')!.map((h) => h.kind)).toEqual(['fit with limits', 'late start']);
    const anew = [...said, { kind: 'here', unit: 'avocet', at }];
    expect(fold(anew, at).get('avocet')!.map((h) => h.kind)).toEqual(['here']);
    expect(fold(anew, 'D2 08:00').size).toBe(0);
    const later = [...said, { kind: 'late start', unit: 'avocet', at, until: 'D2 12:00' }];
    expect(fold(later, at).get('avocet')!.map((h) => h.until)).toEqual([undefined, 'D2 12:00']);
  });
  test('what is known comes from the log and from what was not sent', () => {
    const log = [{ number: 2, said: '', author: '', says: '', happening: { kind: 'do not move', unit: 'avocet', at } }, { number: 1, said: '', author: '', says: '', happening: { kind: 'here', unit: 'avocet', at } }];
    const mine: Answer[] = give([], 'bittern', at, here('bittern'));
    const known = found(log, mine, at);
    expect(known.get('avocet')![0]!.kind).toBe('do not move');
    expect(known.get('bittern')![0]!.kind).toBe('here');
  });
  test('next goes round and stops when all are known', () => {
    const stops = round(show, film, 'D1 09:00');
    expect(next(stops, new Map([['dunlin', 1], ['avocet', 1]]), 0)).toBe(2);
    expect(next(stops, new Map([['crake', 1]]), 3)).toBe(0);
    expect(next(stops, new Map(stops.map((s) => [s.unit, 1])), 1)).toBe(4);
  });
  test('room left counts who was found elsewhere, and not the one looked for', () => {
    const long = { ...show, vehicles: show.vehicles.map((v) => ({ ...v, length_cm: 600 })), park: { ...show.park, lanes: show.park.lanes.map((l) => ({ ...l, gap_cm: 50 })) } };
    const stops = round(long, film, 'D1 09:00');
    expect([...roomLeft(long, stops, new Map(), '')]).toEqual([['B1', 1350], ['A1', 700]]);
    expect([...roomLeft(long, stops, new Map([['bittern', [{ kind: 'elsewhere', lane: 'B1' }]]]), 'avocet')]).toEqual([['B1', 700], ['A1', 2000]]);
  });
  test('limits that say nothing are none', () => expect(limits('avocet', false, 0, '')).toEqual([]));
});

describe('the clock', () => {
  test('in the time zone of the show', () => {
    expect(momentNow(show, new Date('2027-06-25T05:59:00Z'))).toBe('D2 06:59');
    expect(momentNow(show, new Date('2027-06-24T23:30:00Z'))).toBe('D2 00:30');
    expect(momentNow(show, new Date('2027-07-25T05:59:00Z'))).toBeUndefined();
    expect(momentNow({ ...show, time_zone: 'Nowhere/Nothing' }, new Date('2027-06-25T05:59:00Z'))).toBeUndefined();
  });
  test('first parade two hours before the first serial, on the half hour', () => {
    expect(firstParade(show)).toBe('D2 08:30');
    expect(firstParade({ ...show, serials: [] })).toBe('D1 06:00');
  });
});
