import { describe, expect, it } from 'vitest';
import { pathOf, poseOn, Reel, turn } from './film';
import { nameLines } from './scheme';
import { laneAt, placeAt, poseOf, sheetOf } from './sheet';
import { outlineOf } from './outline';
import { dueMoves, marksOn, nextSerial, stayAt, withoutLane } from './due';
import type { Film, Move, Show, Table } from './types';

const show: Show = {
  format: 'sallyport show 1', name: 'Fenmoor', days: [{ name: 'Friday' }],
  park: { lanes: [{ id: 'A1', length_cm: 2000, width_cm: 350, x_cm: 1000, y_cm: 3000, heading: 180 }, { id: 'A2', length_cm: 1500 }], lines: [{ id: 'north', length_cm: 5000, x_cm: 1000, y_cm: 5000, heading: 270 }] },
  vehicles: [{ id: 'avocet', name: 'Avocet', length_cm: 400 }, { id: 'dunlin', name: 'Dunlin', length_cm: 600 }],
  serials: [{ id: 's1', form_up: 'D1 10:00', arena_in: 'D1 10:20', entries: [] }, { id: 's2', arena_in: 'D1 12:00', entries: [] }],
};
const film: Film = {
  from: 'D1 09:00', to: 'D1 09:20',
  start: { avocet: { in: 'lane', id: 'A1', from_cm: 0 }, dunlin: { in: 'lane', id: 'A1', from_cm: 450 } },
  steps: [
    { move: 'm1', at: 'D1 09:00', ends: 'D1 09:02', to: { avocet: { in: 'line', id: 'north', from_cm: 0 } } },
    { move: 'm2', at: 'D1 09:10', ends: 'D1 09:12', to: { dunlin: { in: 'line', id: 'north', from_cm: 500 } } },
    { move: 'm3', at: 'D1 09:18', ends: 'D1 09:20', to: { avocet: { in: 'lane', id: 'A1', from_cm: 1000 } } },
  ],
};
const nine = 9 * 3600;

describe('Reel', () => {
  it('has units on their way until their step ends', () => {
    const reel = new Reel(film);
    expect(reel.at(nine + 60).get('avocet')).toMatchObject({ place: { in: 'line' }, goes: { from: { in: 'lane' }, part: 0.5 } });
    expect(reel.at(nine + 120).get('avocet')?.goes).toBeUndefined();
    expect(reel.at(nine - 1).get('avocet')?.place.in).toBe('lane');
  });
  it('gives the same whichever way it is played', () => {
    const there = new Reel(film), back = new Reel(film), fresh = (t: number) => new Reel(film).at(t);
    const times = Array.from({ length: 130 }, (_, i) => nine - 50 + i * 10);
    for (const t of times) expect(there.at(t)).toEqual(fresh(t));
    for (const t of times.reverse()) expect(back.at(t)).toEqual(fresh(t));
  });
  it('lets each drive to its own mark on a line, although others come after it in front', () => {
    const reel = new Reel({
      ...film,
      steps: [
        { move: 'm1', at: 'D1 09:00', ends: 'D1 09:02', to: { dunlin: { in: 'line', id: 'north', from_cm: 0 } } },
        { move: 'm2', at: 'D1 09:00', ends: 'D1 09:02', to: { avocet: { in: 'line', id: 'north', from_cm: 0 }, dunlin: { in: 'line', id: 'north', from_cm: 500 } } },
        { move: 'm3', at: 'D1 09:18', ends: 'D1 09:20', to: { avocet: { in: 'lane', id: 'A1', from_cm: 1000 }, dunlin: { in: 'line', id: 'north', from_cm: 0 } } },
      ],
    });
    expect(reel.at(nine).get('dunlin')).toMatchObject({ place: { in: 'line', from_cm: 500 }, goes: { from: { in: 'lane' }, part: 0 } });
    expect(reel.at(nine + 200).get('dunlin')).toEqual({ place: { in: 'line', id: 'north', from_cm: 500 } });
    expect(reel.at(nine + 18 * 60).get('dunlin')).toMatchObject({ place: { from_cm: 0 }, goes: { from: { from_cm: 500 } } });
  });
  it('tells only who has changed since the last time', () => {
    const reel = new Reel(film), all = new Reel(film), seen = new Map<string, string>();
    for (const time of [nine - 60, nine + 1, nine + 30, nine + 700, nine + 5000, nine + 10, nine - 60]) {
      for (const [unit, s] of reel.since(time)) seen.set(unit, JSON.stringify(s));
      expect(seen).toEqual(new Map([...all.at(time)].map(([u, s]) => [u, JSON.stringify(s)])));
    }
    expect([...reel.since(nine - 60)]).toEqual([]);
  });
  it('steps from move to move', () => {
    const reel = new Reel(film);
    expect(reel.next(nine)).toBe(nine + 600);
    expect(reel.next(nine + 600, true)).toBe(nine);
    expect(reel.next(nine + 1080)).toBe(reel.to);
  });
});

describe('ways', () => {
  const sheet = sheetOf(show);
  const move: Move = { id: 'm3', kind: 'return', from: { kind: 'line', id: 'north' }, to: { kind: 'lane', id: 'A1', end: 'mouth' }, reverse: true, start: 'D1 09:18', takes_s: 120 };
  it('begin and end where the vehicle stands', () => {
    const from = film.start.avocet!, to = film.steps[0]!.to.avocet!;
    const way = pathOf(sheet, from, to, 400);
    expect(poseOn(way, 0, undefined, undefined)).toMatchObject(pick(poseOf(sheet, from, 400)!));
    expect(poseOn(way, 1, undefined, undefined)!.x).toBeCloseTo(poseOf(sheet, to, 400)!.x);
  });
  it('lead out of the mouth, nose first', () => {
    const p = poseOn(pathOf(sheet, film.start.dunlin!, film.steps[1]!.to.dunlin!, 600), 0.05, undefined, undefined)!;
    expect(p.x).toBe(1000);
    expect(p.heading).toBe(180);
  });
  it('end in reverse with the nose to the mouth', () => {
    const way = pathOf(sheet, film.steps[0]!.to.avocet!, film.steps[2]!.to.avocet!, 400, move);
    expect(poseOn(way, 0.99, undefined, undefined)!.heading).toBeCloseTo(180);
  });
  it('turn the short way round', () => {
    expect(turn(350, 10, 0.5)).toBe(0);
    expect(turn(10, 350, 0.5)).toBe(0);
  });
});
const pick = ({ x, y }: { x: number; y: number }) => ({ x, y });

describe('sheet', () => {
  it('fills an area as wide as it is', () => {
    const park = { lanes: Array.from({ length: 24 }, (_, i) => ({ id: `L${i}`, length_cm: 1500 })) };
    const high = sheetOf({ ...show, park }, 0, true, 0.8).view, wide = sheetOf({ ...show, park }, 0, true, 2.5).view;
    expect(wide.wide / wide.high).toBeGreaterThan(1.5);
    expect(high.wide / high.high).toBeLessThan(1.2);
  });
  it('sets long names of mouths on two lines, at the middle', () => {
    expect(nameLines('Long Shed, west door')).toEqual(['Long Shed,', 'west door']);
    expect([nameLines('Avenue'), nameLines('Unbreakablename')]).toEqual([['Avenue'], ['Unbreakablename']]);
  });
  it('finds the lane under a point, placed or not', () => {
    const sheet = sheetOf(show);
    expect(sheet.scheme).toBe(false);
    for (const id of ['A1', 'A2']) {
      const s = sheet.strips.get(`lane/${id}`)!;
      expect(laneAt(sheet, poseOf(sheet, { in: 'lane', id, from_cm: 100 }, 400)!)?.id).toBe(id);
      expect(s.name).toBe(id);
    }
    expect(laneAt(sheet, { x: 9000, y: 0 })).toBeUndefined();
  });
  it('is a scheme without positions, whose parts do not overlap', () => {
    const strips = ['North Road', 'South Hard', 'Loading hard'].map((name, i) => ({ id: name, name, length_cm: 2000 + i * 3000 }));
    const bare: Show = { ...show, park: { lines: strips.slice(0, 2), spots: [{ ...strips[2]!, use: 'loading' }], lanes: Array.from({ length: 60 }, (_, i) => ({ id: `L${i}`, length_cm: 1500 + i * 10, zone: i % 2 ? 'yard' : 'green' })) } };
    const sheet = sheetOf(bare, 0, true), list = [...sheet.strips.values()];
    expect(sheet.scheme).toBe(true);
    for (const a of list) for (const b of list) {
      if (a === b) continue;
      expect(Math.abs(a.y - b.y) >= (a.width + b.width) / 2 || a.x >= b.x + b.length || b.x >= a.x + a.length).toBe(true);
    }
    for (const s of list) expect(sheet.view.x <= s.x && s.x + s.length <= sheet.view.x + sheet.view.wide && sheet.view.y <= s.y && s.y <= sheet.view.y + sheet.view.high).toBe(true);
  });
});

describe('outline', () => {
  it('has the length given and differs by running gear', () => {
    const gears = ['wheeled', 'half-tracked', 'tracked', 'steam', 'towed'] as const;
    const all = gears.map((gear) => outlineOf({ length_cm: 600, width_cm: 200, gear }));
    expect(new Set(all.map((o) => o.hull + o.marks)).size).toBe(gears.length);
    for (const o of all) expect(o.hull).toContain('300');
  });
});

describe('what is due', () => {
  const moves: Move[] = film.steps.map((s) => ({ id: s.move, kind: 'aside', unit: 'avocet', from: { kind: 'lane', id: 'A1' }, to: { kind: 'spot', id: 'x' }, start: s.at, takes_s: 120 }));
  const table = {
    complete: show, plan: { moves }, faults: [{ rule: 'blocked', sentence: 'b', at: 'D1 11:00', units: ['dunlin'] }, { rule: 'late', sentence: 'other day', at: 'D2 11:00' }], order_alone: [],
    stays: [{ id: 'avocet/', unit: 'avocet', after: '', lane: 'A1', from: '', to: 'D1 09:00' }, { id: 'avocet/s1', unit: 'avocet', after: 's1', lane: '', from: 'D1 09:20', to: '' }],
  } as unknown as Table;
  it('keeps moves under way, then those to come', () => {
    expect(dueMoves(moves, nine + 60, 2).map((m) => m.id)).toEqual(['m1', 'm2']);
    expect(dueMoves(moves, nine + 120, 9).map((m) => m.id)).toEqual(['m2', 'm3']);
  });
  it('knows the next serial and stay', () => {
    expect(nextSerial(show, 10 * 3600)?.id).toBe('s1');
    expect(nextSerial(show, 11 * 3600)?.id).toBe('s2');
    expect(nextSerial(show, 13 * 3600)).toBeUndefined();
    expect(stayAt(table.stays, 'avocet', nine - 1)?.after).toBe('');
    expect(stayAt(table.stays, 'avocet', nine + 300)?.after).toBe('s1');
    expect(withoutLane(table, nine)).toEqual([]);
    expect(withoutLane(table, 10 * 3600)).toEqual(['avocet']);
    expect(withoutLane({ ...table, plan: undefined }, 0)).toEqual(['avocet', 'dunlin']);
  });
  it('numbers what is worth looking at on a day', () => {
    const marks = marksOn(table, 1, (u) => u);
    expect(marks.map((m) => [m.number, m.kind, m.says])).toEqual([[1, 'fault', 'b'], [2, 'aside', 'avocet'], [3, 'aside', 'avocet'], [4, 'aside', 'avocet']]);
  });
});

describe('a place between neighbours', () => {
  const there = [{ from: 100, length: 400 }, { from: 550, length: 600 }];
  it('is counted from the mouth, nearer than the middle of the next', () => {
    expect([50, 299, 301, 840, 860, 3000].map((depth) => placeAt(there, depth, 300).place)).toEqual([1, 1, 2, 2, 3, 3]);
  });
  it('is shown as the gap that it would take', () => {
    expect(placeAt(there, 50, 300)).toEqual({ place: 1, from: 0, to: 300 });
    expect(placeAt(there, 600, 300)).toEqual({ place: 2, from: 500, to: 800 });
    expect(placeAt(there, 3000, 300)).toEqual({ place: 3, from: 1150, to: 1450 });
    expect(placeAt([], 900, 300)).toEqual({ place: 1, from: 0, to: 300 });
  });
});
