// The park as the park screen draws it: where lanes, lines, spots and the gate
// lie, and the pose of a vehicle that stands somewhere. Whole-sheet
// coordinates are those of ground.ts: centimetres, x to the right, y down the
// page, headings in degrees from up the page, clockwise.

import { around, corners, hasPlace, outward, shapes, type Point, type Shape, type View } from './ground';
import type { Lane, Place, Show } from './types';

export interface Strip extends Shape { name: string; lane?: Lane; emergency?: boolean }
export interface Pose extends Point { heading: number }

export interface Sheet {
  scheme: boolean; // positions are not given: only lengths are to scale
  strips: Map<string, Strip>; // by kind + "/" + id
  gate: Point; // where vehicles without a lane stand, row by row downward
  view: View;
}

const apart = 170, gap = 300, bandGap = 1600, widest = 13_000;

// sheetOf lays the park out: parts with a position where they are, all others
// below them, side by side by zone and stretch, mouths up.
export function sheetOf(show: Show): Sheet {
  const strips = new Map<string, Strip>();
  const park = show.park;
  for (const s of shapes(show)) strips.set(`${s.kind}/${s.id}`, { ...s, name: '' });
  const scheme = strips.size === 0;
  let y = scheme ? 0 : Math.max(...[...strips.values()].flatMap(corners).map((p) => p.y)) + bandGap;
  const left = scheme ? 0 : Math.min(...[...strips.values()].flatMap(corners).map((p) => p.x));
  for (const l of (park.lines ?? []).filter((p) => !hasPlace(p))) {
    strips.set(`line/${l.id}`, { kind: 'line', id: l.id, name: '', x: left, y, heading: 270, length: l.length_cm ?? 6000, width: 300 });
    y += 300 + gap * 1.5;
  }
  y = bands(park.lanes.filter((p) => !hasPlace(p)), strips, left, y + (scheme ? 900 : 0));
  let x = left;
  for (const s of (park.spots ?? []).filter((p) => !hasPlace(p))) {
    const length = s.length_cm ?? 2000;
    if (x > left && x + length > left + widest) { x = left; y += 300 + gap * 1.5; }
    strips.set(`spot/${s.id}`, { kind: 'spot', id: s.id, name: '', x, y, heading: 270, length, width: 300 });
    x += length + gap * 2;
  }
  for (const l of park.lanes) Object.assign(strips.get(`lane/${l.id}`)!, { name: l.name || l.id, lane: l });
  for (const l of park.lines ?? []) Object.assign(strips.get(`line/${l.id}`)!, { name: l.name || l.id, emergency: l.emergency_route });
  for (const s of park.spots ?? []) Object.assign(strips.get(`spot/${s.id}`)!, { name: s.name || s.id, emergency: s.emergency_route });
  const view = around([...strips.values()]);
  const gate = { x: view.x + view.wide + 500, y: view.y + 900 };
  return { scheme, strips, gate, view: { ...view, wide: view.wide + 600 } };
}

// bands sets lanes side by side, and returns where the next band begins.
function bands(lanes: readonly Lane[], strips: Map<string, Strip>, left: number, top: number): number {
  const zones = [...new Set(lanes.map((l) => l.zone ?? ''))];
  const ordered = zones.flatMap((z) => {
    const here = lanes.filter((l) => (l.zone ?? '') === z);
    return [...new Set(here.map((l) => l.mouth ?? ''))].flatMap((m) => here.filter((l) => (l.mouth ?? '') === m));
  });
  let x = left, y = top, deep = 0, before: Lane | undefined;
  for (const l of ordered) {
    const width = l.width_cm ?? 300;
    if (before && (before.zone !== l.zone || before.mouth !== l.mouth)) x += gap * 2;
    if (x > left && x + width > left + widest) { x = left; y += deep + bandGap; deep = 0; }
    strips.set(`lane/${l.id}`, { kind: 'lane', id: l.id, name: '', x: x + width / 2, y, heading: 0, length: l.length_cm, width });
    x += width + apart;
    deep = Math.max(deep, l.length_cm);
    before = l;
  }
  return lanes.length ? y + deep + bandGap : y;
}

// along returns the point of a strip so many centimetres behind its mouth or head.
export function along(s: Strip, cm: number): Point {
  const d = outward(s.heading);
  return { x: s.x - d.x * cm, y: s.y - d.y * cm };
}

// atGate returns the pose of the nth vehicle at the gate.
export function atGate(sheet: Sheet, n: number): Pose {
  const rows = Math.max(4, Math.floor((sheet.view.high - 1200) / 380));
  return { x: sheet.gate.x + 450 + Math.floor(n / rows) * 1000, y: sheet.gate.y + (n % rows) * 380, heading: 270 };
}

// poseOf returns how a vehicle of a length stands at a place; undefined: out of
// the sheet.
export function poseOf(sheet: Sheet, p: Place, length: number): Pose | undefined {
  if (p.in !== 'lane' && p.in !== 'line' && p.in !== 'spot') return undefined;
  const s = sheet.strips.get(`${p.in}/${p.id ?? ''}`);
  if (!s) return undefined;
  return { ...along(s, (p.from_cm ?? 0) + length / 2), heading: p.nose_in ? (s.heading + 180) % 360 : s.heading };
}

// laneAt returns the lane under a point.
export function laneAt(sheet: Sheet, p: Point): Strip | undefined {
  for (const s of sheet.strips.values()) {
    if (s.kind !== 'lane') continue;
    const d = outward(s.heading), dx = s.x - p.x, dy = s.y - p.y;
    const deep = dx * d.x + dy * d.y, off = Math.abs(dx * -d.y + dy * d.x);
    if (deep >= -150 && deep <= s.length + 250 && off <= s.width / 2 + 40) return s;
  }
  return undefined;
}
