// Outlines of vehicles, seen from above (docs/looks.md): paths in centimetres
// around the middle of the vehicle, nose up.

import type { Vehicle } from './types';

export interface Outline { length: number; width: number; hull: string; marks: string }

export const usualWidth = 220;

const box = (x: number, y: number, w: number, h: number) => `M${x} ${y}h${w}v${h}h${-w}z`;

// outlineOf returns the outline of a vehicle or, towed items behind it, of a
// combination.
export function outlineOf(v: Pick<Vehicle, 'length_cm' | 'width_cm' | 'gear'>, length = v.length_cm ?? 500): Outline {
  const width = v.width_cm ?? usualWidth, half = length / 2, side = width / 2;
  const bow = Math.min(90, length / 4);
  const hull = v.gear === 'towed'
    ? `M${-side} ${half}V${-half + bow}H-12L0 ${-half}L12 ${-half + bow}H${side}V${half}z`
    : `M${-side} ${half}V${-half + bow}L${-side * 0.45} ${-half}H${side * 0.45}L${side} ${-half + bow}V${half}z`;
  return { length, width, hull, marks: (marks[v.gear ?? 'wheeled'] ?? marks.wheeled!)(half, side) };
}

const ladder = (from: number, to: number, side: number) => {
  let d = '';
  for (const x of [-side, side - 26]) {
    d += `M${x + (x < 0 ? 26 : 0)} ${from}V${to}`;
    for (let y = from + 25; y < to; y += 45) d += `M${x} ${y}h26`;
  }
  return d;
};
const wheels = (side: number, ...ys: number[]) => ys.map((y) => box(-side - 8, y - 32, 20, 64) + box(side - 12, y - 32, 20, 64)).join('');

const marks: Record<string, (half: number, side: number) => string> = {
  wheeled: (h, s) => wheels(s, -h * 0.55, h * 0.6),
  'half-tracked': (h, s) => wheels(s, -h * 0.55) + ladder(0, h - 15, s),
  tracked: (h, s) => ladder(-h * 0.6, h - 15, s),
  steam: (h, s) => wheels(s, -h * 0.55) + box(-s - 8, h * 0.15, 24, h * 0.7) + box(s - 16, h * 0.15, 24, h * 0.7) + `M-30 ${-h * 0.35}a30 30 0 1 0 60 0a30 30 0 1 0 -60 0`,
  towed: (h, s) => wheels(s, h * 0.3),
};
