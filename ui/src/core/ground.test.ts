import { describe, expect, test } from 'vitest';
import type { Shape } from './ground';
import { around, copies, corners, distance, drawn, headingFrom, mouthsIn, outward, place, scaled, shapes, snapHeading, snapPlace, tailOf, turned, unplaced } from './ground';
import type { Show } from './types';

const lane = (id: string, x: number, y: number, heading = 0, length = 2000): Shape => ({ kind: 'lane', id, x, y, heading, length, width: 300 });

describe('lanes on the ground', () => {
  test('the tail lies inward of the mouth', () => {
    expect(tailOf(lane('A1', 1000, 1000, 0))).toEqual({ x: 1000, y: 3000 }); // out is up the page, so the tail is below
    const east = tailOf(lane('A1', 1000, 1000, 90));
    expect([Math.round(east.x), Math.round(east.y)]).toEqual([-1000, 1000]);
    expect(tailOf(drawn('spot', 's', { x: 0, y: 0 }, { x: 900, y: 0 })).x).toBeCloseTo(900); // a spot runs to the right
  });
  test('a drag from the mouth inward gives length and heading', () => {
    for (let h = 0; h < 360; h += 15) {
      const d = outward(h), mouth = { x: 5000, y: 5000 };
      const s = drawn('lane', 'A1', mouth, { x: mouth.x - d.x * 1834, y: mouth.y - d.y * 1834 });
      expect([s.heading, s.length]).toEqual([h, 1830]);
    }
    expect(drawn('lane', 'A1', { x: 0, y: 0 }, { x: 0, y: 900 }, 1750).length).toBe(1750);
  });
  test('corners are a width apart', () => {
    const c = corners(lane('A1', 500, 700, 33));
    expect(distance(c[0]!, c[1]!)).toBeCloseTo(300);
    expect(distance(c[1]!, c[2]!)).toBeCloseTo(2000);
  });
  test('headings snap to neighbours and to the sheet', () => {
    expect(snapHeading(32, [lane('A1', 0, 0, 30)])).toBe(30);
    expect(snapHeading(358, [])).toBe(0);
    expect(snapHeading(45, [lane('A1', 0, 0, 30)])).toBe(45);
    expect(turned(350, 20)).toBe(10);
    expect(headingFrom({ x: 0, y: 0 }, { x: 0, y: -10 })).toBe(0);
  });
  test('a lane snaps beside another one, whichever way they face', () => {
    for (const h of [0, 30, 90, 180, 271]) {
      const a = lane('A1', 1000, 1000, h), want = copies(a, 1, 300)[0]!;
      const off = { ...want, id: 'A2', x: want.x + 20, y: want.y - 25 };
      const got = snapPlace(off, [a], 60);
      expect(distance(got, want)).toBeLessThanOrEqual(1.5);
    }
    const far = lane('A2', 4000, 1030, 0);
    expect(snapPlace(far, [lane('A1', 1000, 1000, 0)], 60)).toMatchObject({ x: 4000, y: 1000 }); // in line, not beside
    expect(snapPlace(lane('A2', 1310, 1000, 10), [lane('A1', 1000, 1000, 0)], 60)).toMatchObject({ x: 1310, y: 1000 });
  });
  test('copies stand so far apart, to the right of the way out', () => {
    expect(copies(lane('A1', 0, 0, 0), 3, 350).map((s) => [s.x, s.y])).toEqual([[350, 0], [700, 0], [1050, 0]]);
    expect(copies(lane('A1', 0, 0, 90), 1, 350).map((s) => [s.x, s.y])).toEqual([[0, 350]]);
  });
  test('mouths in a frame', () => {
    expect(mouthsIn([lane('A1', 100, 100), lane('A2', 400, 100), lane('B1', 400, 900)], { x: 500, y: 200 }, { x: 0, y: 0 })).toEqual(['A1', 'A2']);
  });
});

describe('the show and the sheet', () => {
  const show = (): Show => ({ format: '', name: '', days: [], vehicles: [], serials: [], park: { lanes: [{ id: 'A1', length_cm: 1800 }, { id: 'A2', length_cm: 2000, x_cm: 100, y_cm: 50, heading: 90 }], spots: [{ id: 'bay', use: 'breakdown bay', x_cm: 10 }], lines: [{ id: 'l1' }] } });
  test('what has a position is drawn, the rest is listed', () => {
    expect(shapes(show()).map((s) => [s.id, s.heading])).toEqual([['A2', 90], ['bay', 270]]);
    expect(unplaced(show()).map((s) => [s.id, s.length])).toEqual([['A1', 1800], ['l1', 6000]]);
  });
  test('placing is read back as the same shape', () => {
    const s = show();
    place(s, lane('A1', 700, 800, 45, 1790));
    expect(shapes(s)[0]).toEqual(lane('A1', 700, 800, 45, 1790));
    expect(s.park.lanes[0]).toEqual({ id: 'A1', length_cm: 1790, x_cm: 700, y_cm: 800, heading: 45 });
    place(s, lane('A1', 1, 1, 1, 99), false);
    expect(s.park.lanes[0]!.length_cm).toBe(1790);
  });
  test('the picture takes the scale of two points and a length', () => {
    const p = { x: -50, y: -50, cmPerPixel: 1, opacity: 50, wide: 800, high: 600 };
    const q = scaled(p, { x: 50, y: 50 }, { x: 150, y: 50 }, 2500);
    expect(q.cmPerPixel).toBe(25);
    expect([q.x, q.y]).toEqual([50 - 100 * 25, 50 - 100 * 25]); // the first point has stayed
    expect(scaled(p, { x: 0, y: 0 }, { x: 0, y: 0 }, 100)).toBe(p);
  });
  test('the view holds everything', () => {
    expect(around([])).toEqual({ x: 0, y: 0, wide: 6000, high: 4000 });
    const v = around([lane('A1', 0, 0, 0)]);
    expect(v.y).toBe(-400);
    expect(v.y + v.high).toBe(2800);
  });
});
