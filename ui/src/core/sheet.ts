// The park as the park screen draws it: where lanes, lines, spots and the gate
// lie, and the pose of a vehicle that stands somewhere. Whole-sheet
// coordinates are those of ground.ts: centimetres, x to the right, y down the
// page, headings in degrees from up the page, clockwise.

import { around, corners, hasPlace, outward, shapes, usualWidth, type Point, type Shape, type View } from './ground';
import type { Lane, Place, Show } from './types';

export interface Strip extends Shape { name: string; lane?: Lane; emergency?: boolean }
export interface Pose extends Point { heading: number }

export interface Sheet {
  scheme: boolean; // positions are not given: only lengths are to scale
  strips: Map<string, Strip>; // by kind + "/" + id
  gate: Point; // where vehicles without a lane stand, row by row downward
  view: View;
}

const usualLength = { line: 6000, spot: 2000 }, rowApart = 750;
export const labelLetter = 55; // of a lane's name that is written along it
const apart = 90, gap = 200, bandGap = 1500, widest = 17_000;

// sheetOf lays the park out, with room at the gate for so many: parts with a
// position where they are, all others below them, side by side by zone and
// stretch, mouths up. Without the map, all are laid side by side.
export function sheetOf(show: Show, waiting = 0, map = true): Sheet {
  const strips = new Map<string, Strip>();
  const park = show.park, loose = (p: Parameters<typeof hasPlace>[0]) => !map || !hasPlace(p);
  if (map) for (const s of shapes(show)) strips.set(`${s.kind}/${s.id}`, { ...s, name: '' });
  const scheme = strips.size === 0, placed = [...strips.values()].flatMap(corners);
  const left = scheme ? 0 : Math.min(...placed.map((p) => p.x));
  let y = scheme ? 0 : Math.max(...placed.map((p) => p.y)) + bandGap;
  y = rows('line', (park.lines ?? []).filter(loose), strips, left, y);
  const longest = Math.max(0, ...park.lanes.filter(loose).map((l) => (l.name || l.id).length));
  y = bands(park.lanes.filter(loose), strips, left, y + (scheme ? 400 + Math.max(350, labelLetter * longest) : 0));
  rows('spot', (park.spots ?? []).filter(loose), strips, left, y);
  for (const l of park.lanes) Object.assign(strips.get(`lane/${l.id}`)!, { name: l.name || l.id, lane: l });
  for (const l of park.lines ?? []) Object.assign(strips.get(`line/${l.id}`)!, { name: l.name || l.id, emergency: l.emergency_route });
  for (const s of park.spots ?? []) Object.assign(strips.get(`spot/${s.id}`)!, { name: s.name || s.id, emergency: s.emergency_route });
  const view = around([...strips.values()]);
  const gate = { x: view.x + view.wide + 100, y: view.y + 900 };
  const wide = waiting ? 600 + Math.ceil(waiting / rowsAt(view)) * columnWide : 0;
  return { scheme, strips, gate, view: { ...view, wide: view.wide + wide } };
}

// rows sets lines or spots one behind the other, and returns where the next
// row begins.
function rows(kind: 'line' | 'spot', list: readonly { id: string; length_cm?: number }[], strips: Map<string, Strip>, left: number, top: number): number {
  let x = left, y = top;
  for (const p of list) {
    const length = p.length_cm ?? usualLength[kind];
    if (x > left && x + length > left + widest) { x = left; y += rowApart; }
    strips.set(`${kind}/${p.id}`, { kind, id: p.id, name: '', x, y, heading: 270, length, width: usualWidth });
    x += length + gap * 2;
  }
  return list.length ? y + rowApart : y;
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
    const width = l.width_cm ?? usualWidth;
    if (before && (before.zone !== l.zone || before.mouth !== l.mouth)) x += gap * 2;
    if (x > left && x + width > left + widest) { x = left; y += deep + bandGap; deep = 0; }
    strips.set(`lane/${l.id}`, { kind: 'lane', id: l.id, name: '', x: x + width / 2, y, heading: 0, length: l.length_cm, width });
    x += width + apart;
    deep = Math.max(deep, l.length_cm);
    before = l;
  }
  return lanes.length ? y + deep + rowApart : y;
}

// along returns the point of a strip so many centimetres behind its mouth or head.
export function along(s: Strip, cm: number): Point {
  const d = outward(s.heading);
  return { x: s.x - d.x * cm, y: s.y - d.y * cm };
}

const columnWide = 1000, rowHigh = 380;
const rowsAt = (view: View) => Math.max(4, Math.floor((view.high - 1200) / rowHigh));

// atGate returns the pose of the nth vehicle at the gate.
export function atGate(sheet: Sheet, n: number): Pose {
  const rows = rowsAt(sheet.view);
  return { x: sheet.gate.x + 450 + Math.floor(n / rows) * columnWide, y: sheet.gate.y + (n % rows) * rowHigh, heading: 270 };
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
