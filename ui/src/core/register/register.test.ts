import { describe, expect, test } from 'vitest';
import { fieldWords, groupWords, says, tableWords } from '../../words/register';
import type { Show } from '../types';
import { add, assumed, duplicate, find, identify, lines, put, removable, remove, taken } from './edits';
import type { Field } from './fields';
import { get, set, table, tables } from './fields';
import { forget, referrers, rename } from './references';
import { feet, metres, readLength, readMass, readSpan } from '../measure';
import { read, sortKey, written } from './values';

const show = (): Show => ({
  format: 'sallyport-show/1', name: 'Fenmoor', days: [{ name: 'Friday' }, { name: 'Saturday' }, { name: 'Sunday' }],
  park: {
    zones: [{ id: 'north', name: 'North field' }], stretches: [{ id: 'f1' }], spots: [{ id: 'hard', use: 'coupling' }],
    lanes: [{ id: 'A1', length_cm: 2000, zone: 'north', mouth: 'f1' }, { id: 'A2', length_cm: 1500, zone: 'north' }],
    lines: [{ id: 'l1', name: 'East line', fouls: [{ from_cm: 0, to_cm: 900, lanes: ['A1'] }] }],
  },
  vehicles: [
    { id: 'avocet', name: 'Avocet', home: { lane: 'A1', binding: 'told' }, usual_driver: 'orla' },
    { id: 'bittern', name: 'Bittern', length_cm: 640, keep_apart: ['avocet'], zones: ['north'] },
    { id: 'smew-gun', name: 'Smew gun', gear: 'towed' },
  ],
  combinations: [{ id: 'avocet-smew', name: 'Avocet and gun', tower: 'avocet', towed: ['smew-gun'], couple_at: 'hard' }],
  serials: [{ id: '3', name: 'Column', line: 'l1', entries: [{ id: '3/a', unit: 'avocet', driver: 'orla' }, { id: '3/b', unit: 'bittern', reserves: ['avocet'] }], leaving: ['3/b', '3/a'] }],
  duties: [{ id: 'fuel', unit: 'bittern', what: 'fuel', from: 'D2 09:00', to: 'D2 09:30' }],
  people: [{ id: 'orla', name: 'Orla Fenn' }], closings: [{ zone: 'north', closed: 'D2 08:00', reopened: 'D2 09:00' }],
});

const ctx = (system: 'metric' | 'imperial' = 'metric') => ({ show: show(), system, says });
const field = (of: Parameters<typeof table>[0], key: string): Field => table(of).fields.find((f) => f.key === key)!;

describe('every field', () => {
  test.each(tables.map((t) => [t.name, t] as const))('%s has words for all its fields and groups', (name, t) => {
    expect(t.fields.map((f) => f.key).filter((k) => !fieldWords[name][k])).toEqual([]);
    expect(Object.keys(fieldWords[name]).filter((k) => !t.fields.some((f) => f.key === k))).toEqual([]);
    expect(t.fields.filter((f) => !groupWords[f.group])).toEqual([]);
    expect(tableWords[name].many).not.toBe('');
    expect(new Set(t.fields.map((f) => f.key)).size).toBe(t.fields.length);
  });
  test('a choice has choices, a reference says of what', () => {
    for (const t of tables) for (const f of t.fields) {
      expect([t.name, f.key, f.kind === 'choice', f.choices !== undefined]).toEqual([t.name, f.key, f.kind === 'choice', f.kind === 'choice']);
      expect([t.name, f.key, f.kind === 'one' || f.kind === 'many']).toEqual([t.name, f.key, f.of !== undefined]);
    }
  });
});

describe('reading', () => {
  test.each([['14.5', 1450], ['14,5 m', 1450], ['1450 cm', 1450], ['14500mm', 1450], ["47' 7\"", 1450], ['47 ft 7 in', 1450], ['20 yds', 1829], ['fourteen', undefined], ['', undefined], ['1.2.3', undefined], ['5 furlongs', undefined]])('length %s', (text, cm) => {
    expect(readLength(text, 'metric')).toBe(cm);
  });
  test('a bare length in feet', () => expect(readLength('20', 'imperial')).toBe(610));
  test.each([['8900', 8900], ['8,900 kg', 8900], ['8.9 t', 8900], ['175 cwt', 8890], ['19600 lb', 8890], ['8 tons', undefined]])('mass %s', (text, kg) => expect(readMass(text, 'metric')).toBe(kg));
  test.each([['12', 720], ['1.5', 90], ['1 h 05 min', 3900], ['90 s', 90], ['0:12', 720], ['soon', undefined], ['5 m 3 x', undefined]])('span %s', (text, s) => expect(readSpan(text)).toBe(s));
  test('lengths are written as they are read', () => {
    for (const cm of [1, 99, 100, 1450, 20000]) expect(readLength(metres(cm), 'metric')).toBe(cm);
    for (let halves = 1; halves < 2000; halves += 7) {
      const cm = Math.round(halves * 1.27);
      expect(Math.abs(readLength(feet(cm), 'imperial')! - cm)).toBeLessThanOrEqual(1);
    }
  });
  test('windows, closings of lanes and fouls', () => {
    const c = ctx();
    expect(read(field('vehicles', 'arrive'), 'Fri 10:00 – 16:00', c)).toEqual({ value: { from: 'D1 10:00', to: 'D1 16:00' } });
    expect(read(field('vehicles', 'arrive'), 'until Sat 9:00', c)).toEqual({ value: { to: 'D2 09:00' } });
    expect(read(field('lanes', 'closed'), 'Fri 10:00 – 11:00; from Sun 9:00', c)).toEqual({ value: [{ from: 'D1 10:00', to: 'D1 11:00' }, { from: 'D3 09:00' }] });
    expect(read(field('lines', 'fouls'), '0–12.50: A1, a2', c)).toEqual({ value: [{ from_cm: 0, to_cm: 1250, lanes: ['A1', 'A2'] }] });
    expect(read(field('lines', 'fouls'), '0–12.50: Z9', c)).toEqual({ wrong: says.unknown('Z9', 'lanes') });
  });
  test('references by name, and what is wrong in words', () => {
    const c = ctx();
    expect(read(field('vehicles', 'usual_driver'), 'orla fenn', c)).toEqual({ value: 'orla' });
    expect(read(field('vehicles', 'keep_apart'), 'Avocet; Avocet and gun', c)).toEqual({ value: ['avocet', 'avocet-smew'] });
    expect(read(field('vehicles', 'home.lane'), 'B7', c)).toEqual({ wrong: says.unknown('B7', 'lanes') });
    expect(read(field('vehicles', 'length_cm'), '0', c)).toEqual({ wrong: says.least('0.01') });
    expect(read(field('vehicles', 'start_chance'), '120', c)).toEqual({ wrong: says.most('100') });
    expect(read(field('vehicles', 'name'), '  ', c)).toEqual({ wrong: says.required });
    expect(read(field('vehicles', 'length_cm'), '', c)).toEqual({ value: undefined });
    expect(read(field('vehicles', 'keep_apart'), ';', c)).toEqual({ value: undefined });
    expect(read(field('vehicles', 'warm_up_s'), '0', c)).toEqual({ value: 0 }); // given as nothing is not the same as not given
  });
  test('what is written is read back', () => {
    const c = ctx();
    const values: [Parameters<typeof table>[0], string, unknown][] = [
      ['vehicles', 'length_cm', 640], ['vehicles', 'mass_kg', 8900], ['vehicles', 'start_chance', 9750], ['vehicles', 'warm_up_s', 90], ['vehicles', 'arrive', { from: 'D1 10:00', to: 'D2 16:00' }],
      ['vehicles', 'keep_apart', ['avocet', 'bittern']], ['vehicles', 'extra', { Insurance: 'paid: yes' }], ['lines', 'fouls', [{ from_cm: 0, to_cm: 900, lanes: ['A1'] }]], ['days', 'public_from', 'D2 09:30'], ['lanes', 'heading', 270], ['vehicles', 'standby', true],
    ];
    for (const [of, key, value] of values) expect(read(field(of, key), written(field(of, key), value, c), c)).toEqual({ value });
  });
  test('columns sort figures as figures and moments by time', () => {
    expect(sortKey(field('vehicles', 'length_cm'), 1000, ctx())).toBe(1000);
    expect(sortKey(field('days', 'public_from'), 'D2 09:00', ctx()) < sortKey(field('days', 'public_from'), 'D10 08:00', ctx())).toBe(true);
  });
});

describe('rows', () => {
  test('get and set go down a path and clear up behind', () => {
    expect(get({ home: { lane: 'A1' } }, 'home.lane')).toBe('A1');
    expect(get({}, 'home.lane')).toBeUndefined();
    expect(set({ name: 'x' }, 'home.lane', 'A2')).toEqual({ name: 'x', home: { lane: 'A2' } });
    expect(set({ name: 'x', home: { lane: 'A1' } }, 'home.lane', undefined)).toEqual({ name: 'x' });
  });
  test('what is not given but counts is assumed', () => {
    const given = show(), complete = show();
    complete.vehicles[0]!.length_cm = 700;
    const line = lines(table('vehicles'), given, complete)[0]!;
    expect(assumed(line, field('vehicles', 'length_cm'))).toBe(true);
    expect(assumed(line, field('vehicles', 'name'))).toBe(false);
    put(given, 'vehicles', line, 'length_cm', 650);
    expect(assumed(lines(table('vehicles'), given, complete)[0]!, field('vehicles', 'length_cm'))).toBe(false);
  });
  test('a class that was assumed as a whole becomes a given one when it is edited', () => {
    const given = show(), complete = show();
    complete.classes = [{ name: 'steam', gear: 'steam', awkward: 300, length_cm: 650 }];
    const line = lines(table('classes'), given, complete)[0]!;
    expect(line.at).toBe(-1);
    expect(put(given, 'classes', line, 'awkward', 400)).toBe(0);
    expect(given.classes).toEqual([{ name: 'steam', gear: 'steam', awkward: 400, length_cm: 650 }]);
  });
  test('the first price that is edited takes the others along', () => {
    const given = show(), complete = { ...show(), weights: { people: 2, change: 120 } };
    put(given, 'weights', lines(table('weights'), given, complete)[0]!, 'change', 90);
    expect(given.weights).toEqual({ people: 2, change: 90 });
  });
  test('a line is found again when others have changed the show', () => {
    const before = show(), line = lines(table('vehicles'), before, before)[1]!;
    const after = show();
    remove(after, 'vehicles', 0);
    expect(find(after, 'vehicles', line)?.at).toBe(0);
    remove(after, 'vehicles', 0);
    expect(find(after, 'vehicles', line)).toBeUndefined();
    const closing = lines(table('closings'), before, before)[0]!;
    expect(find(before, 'closings', closing)?.at).toBe(0);
    expect(find({ ...before, closings: [{ ...before.closings![0]!, closed: 'D2 07:00' }] }, 'closings', closing)).toBeUndefined();
  });
  test('ids', () => {
    const s = show();
    expect(identify(s, 'vehicles', 'Smew gun')).toBe('smew-gun-2');
    expect(identify(s, 'vehicles', 'Crème Plover')).toBe('creme-plover');
    expect(identify(s, 'lanes', 'A2')).toBe('A3');
    expect(identify(s, 'combinations', 'Avocet')).toBe('avocet-2'); // shares its ids with vehicles
    expect(taken(s, 'lanes', 'A1', 0)).toBe(false);
    expect(taken(s, 'lanes', 'A1', 1)).toBe(true);
  });
  test('adding, duplicating and removing', () => {
    const s = show();
    expect(add(s, 'lanes', { id: 'B1', length_cm: 1000 })).toBe(2);
    expect(duplicate(s, 'vehicles', 0)).toBe(1);
    expect(s.vehicles[1]).toMatchObject({ id: 'avocet-2', name: 'Avocet-2', usual_driver: 'orla' });
    expect(duplicate(s, 'days', 0)).toBe(3);
    expect(removable(s, 'days', 0)).toBe(false);
    expect(removable(s, 'days', 3)).toBe(true);
    expect(removable(s, 'show', 0)).toBe(false);
  });
});

describe('references', () => {
  test('who refers to a vehicle', () => {
    expect(referrers(show(), 'vehicles', 'avocet').map((r) => [r.kind, r.name, r.gone])).toEqual([
      ['vehicles', 'Bittern', false], ['combinations', 'Avocet and gun', true], ['entries', 'Column', true], ['serials', 'Column', false],
    ]);
    expect(referrers(show(), 'people', 'orla').map((r) => r.kind)).toEqual(['vehicles', 'serials']);
    expect(referrers(show(), 'lanes', 'A2')).toEqual([]);
  });
  test('removing leaves no reference behind, whatever is removed', () => {
    for (const t of tables.filter((x) => x.id)) {
      const rows = t.rows(show());
      for (let at = 0; at < rows.length; at++) {
        const s = show(), id = String(rows[at]![t.id!]);
        remove(s, t.name, at);
        expect([t.name, id, referrers(s, t.name, id)]).toEqual([t.name, id, []]);
      }
    }
    const s = show();
    remove(s, 'vehicles', 0);
    expect(s.serials[0]!.entries).toEqual([{ id: '3/b', unit: 'bittern', reserves: [] }]);
    expect(s.serials[0]!.leaving).toEqual(['3/b']);
    expect(s.combinations).toEqual([]);
  });
  test('renaming keeps every reference', () => {
    for (const t of tables.filter((x) => x.id)) {
      const rows = t.rows(show());
      for (let at = 0; at < rows.length; at++) {
        const s = show(), id = String(rows[at]![t.id!]), before = referrers(s, t.name, id).length;
        put(s, t.name, { at, given: rows[at]!, complete: rows[at]! }, t.id!, 'other');
        expect([id, referrers(s, t.name, 'other').length, referrers(s, t.name, id).length]).toEqual([id, before, 0]);
      }
    }
  });
  test('renaming there and back changes nothing', () => {
    const s = show();
    rename(s, 'lanes', 'A1', 'Z1');
    expect(s.vehicles[0]!.home!.lane).toBe('Z1');
    rename(s, 'lanes', 'Z1', 'A1');
    expect(s).toEqual(show());
    forget(s, 'zones', 'north');
    expect(s.closings).toEqual([]);
  });
});
