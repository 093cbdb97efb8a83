// The park as the park screen draws it: where lanes, lines, spots and the gate
// lie, and the pose of a vehicle that stands somewhere. Whole-sheet
// coordinates are those of ground.ts: centimetres, x to the right, y down the
// page, headings in degrees from up the page, clockwise.

import { around, corners, hasPlace, outward, shapes, tailOf, type Point, type Shape, type View } from './ground';
import { nameRoom, schemeOf, type Scheme } from './scheme';
import type { Lane, Line, Place, Show } from './types';

export interface Strip extends Shape { name: string; lane?: Lane; line?: Line; emergency?: boolean }
export interface Pose extends Point { heading: number }

// Area is ground of a zone; fronts are the stretches named on it.
export interface Area extends View { zone: string; fronts: string[] }
// Front is where a stretch lies in front of mouths or tails, on a map.
export interface Front { id: string; at: Point; heading: number }

export interface Sheet {
  scheme: boolean; // positions are not given: only lengths are to scale
  strips: Map<string, Strip>; // by kind + "/" + id
  areas: Area[];
  fronts: Front[];
  gate: Point; // where vehicles without a lane stand, row by row downward
  view: View;
}

const below = 900, edge = 150, usualAspect = 2.3;

// sheetOf lays the park out, with room at the gate for so many: parts with a
// position where they are, all others below them, side by side by zone and
// stretch, mouths on the left. Without the map, all are laid side by side, for
// an area so many times as wide as high.
export function sheetOf(show: Show, waiting = 0, map = true, aspect = usualAspect): Sheet {
  const strips = new Map<string, Strip>();
  const park = show.park, loose = (p: Parameters<typeof hasPlace>[0]) => !map || !hasPlace(p);
  if (map) for (const s of shapes(show)) strips.set(`${s.kind}/${s.id}`, { ...s, name: '' });
  const scheme = strips.size === 0, placed = [...strips.values()].flatMap(corners);
  const left = scheme ? 0 : Math.min(...placed.map((p) => p.x));
  const rest = { ...park, lanes: park.lanes.filter(loose), lines: (park.lines ?? []).filter(loose), spots: (park.spots ?? []).filter(loose) };
  const areas: Area[] = [], fronts: Front[] = [];
  if (!scheme) mapped(park.lanes.filter((l) => !loose(l)), strips, areas, fronts);
  if (rest.lanes.length + rest.lines.length + rest.spots.length) {
    const s = schemeOf(rest, left, scheme ? 0 : Math.max(...placed.map((p) => p.y)) + below, aspect);
    for (const x of s.shapes) strips.set(`${x.kind}/${x.id}`, { ...x, name: '' });
    areas.push(...areasOf(s));
  }
  for (const l of park.lanes) Object.assign(strips.get(`lane/${l.id}`)!, { name: l.name || l.id, lane: l });
  for (const l of park.lines ?? []) Object.assign(strips.get(`line/${l.id}`)!, { name: l.name || l.id, line: l, emergency: l.emergency_route });
  for (const s of park.spots ?? []) Object.assign(strips.get(`spot/${s.id}`)!, { name: s.name || s.id, emergency: s.emergency_route });
  const view = scheme ? schemeView([...strips.values()], areas) : around([...strips.values()]);
  const gate = { x: view.x + view.wide + 100, y: view.y + 900 };
  const wide = waiting ? 600 + Math.ceil(waiting / rowsAt(view)) * columnWide : 0;
  return { scheme, strips, areas, fronts, gate, view: { ...view, wide: view.wide + wide } };
}

const areasOf = (s: Scheme): Area[] => s.pieces.map((p) => ({ x: p.x, y: p.y, wide: p.wide, high: p.high, zone: p.zone, fronts: [p.mouth, p.tail].filter(Boolean) }));

// schemeView is the view of parts side by side, with room at the foot for the scale.
function schemeView(list: readonly Strip[], areas: readonly Area[]): View {
  if (!list.length) return around([]);
  const points = [...list.flatMap(corners), ...areas.flatMap((a) => [{ x: a.x, y: a.y }, { x: a.x + a.wide, y: a.y + a.high }])];
  const xs = points.map((p) => p.x), ys = points.map((p) => p.y);
  const x = Math.min(...xs) - edge, y = Math.min(...ys) - 120;
  return { x, y, wide: Math.max(...xs) + edge - x, high: Math.max(...ys) + 290 - y };
}

// mapped finds the ground of each zone on a map, and where stretches lie.
function mapped(lanes: readonly Lane[], strips: Map<string, Strip>, areas: Area[], fronts: Front[]): void {
  const ends = new Map<string, { at: Point; heading: number }[]>();
  for (const l of lanes) {
    const s = strips.get(`lane/${l.id}`)!, t = tailOf(s);
    for (const [id, at, heading] of [[l.mouth, s, s.heading], [l.tail, t, (s.heading + 180) % 360]] as const) if (id) ends.set(id, [...(ends.get(id) ?? []), { at, heading }]);
  }
  for (const [id, list] of ends) {
    const mean = (f: (p: Point) => number) => list.reduce((n, e) => n + f(e.at), 0) / list.length, d = outward(list[0]!.heading);
    fronts.push({ id, at: { x: mean((p) => p.x) + d.x * 620, y: mean((p) => p.y) + d.y * 620 }, heading: list[0]!.heading });
  }
  for (const zone of new Set(lanes.map((l) => l.zone ?? ''))) {
    if (!zone) continue;
    const points = lanes.filter((l) => l.zone === zone).flatMap((l) => corners(strips.get(`lane/${l.id}`)!));
    const xs = points.map((p) => p.x), ys = points.map((p) => p.y), x = Math.min(...xs) - 250, y = Math.min(...ys) - 250;
    areas.push({ zone, fronts: [], x, y, wide: Math.max(...xs) + 250 - x, high: Math.max(...ys) + 250 - y });
  }
}

// before returns how far in front of a mouth its name reaches.
export const before = (s: Strip) => nameRoom(s.name) + 60;

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

// placeAt returns the place of one more vehicle among those who stand in a lane,
// from the mouth inward, and the gap that it would take, when it is put down so
// far inside. Place 1 is nearest to the mouth.
export function placeAt(there: readonly { from: number; length: number }[], depth: number, length: number): { place: number; from: number; to: number } {
  const n = there.filter((v) => v.from + v.length / 2 < depth).length, ahead = there[n - 1];
  const from = ahead ? ahead.from + ahead.length : 0;
  return { place: n + 1, from, to: from + length };
}

// depthOf returns how far inside the mouth or head of a strip a point lies.
export function depthOf(s: Strip, p: Point): number {
  const d = outward(s.heading);
  return (s.x - p.x) * d.x + (s.y - p.y) * d.y;
}

// laneAt returns the lane under a point.
export function laneAt(sheet: Sheet, p: Point): Strip | undefined {
  for (const s of sheet.strips.values()) {
    if (s.kind !== 'lane') continue;
    const d = outward(s.heading), dx = s.x - p.x, dy = s.y - p.y;
    const deep = depthOf(s, p), off = Math.abs(dx * -d.y + dy * d.x);
    if (deep >= -150 && deep <= s.length + 250 && off <= s.width / 2 + 40) return s;
  }
  return undefined;
}
