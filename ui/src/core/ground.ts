// The geometry of the park editor. Whole centimetres, x to the right, y down
// the page; headings in whole degrees from up the page, clockwise. A lane's
// point is the middle of its mouth and its heading the way out; a line's point
// is its head and its heading the way vehicles face; a spot's point is its
// head, and it runs to the right from there.

import type { Show } from './types';

export interface Point { x: number; y: number }
export type ShapeKind = 'lane' | 'line' | 'spot';
export interface Shape extends Point { kind: ShapeKind; id: string; heading: number; length: number; width: number }

export const usualWidth = 300; // of a lane whose width is not given, as drawn

const usualLength: Record<ShapeKind, number> = { lane: 2000, line: 6000, spot: 2000 };
const spotHeading = 270; // the head is on the left

const radians = (degrees: number) => (degrees * Math.PI) / 180;

// outward returns the unit vector of a heading.
export function outward(heading: number): Point {
  return { x: Math.sin(radians(heading)), y: -Math.cos(radians(heading)) };
}

// tailOf returns the far end of a shape: behind its mouth or head.
export function tailOf(s: Shape): Point {
  const d = outward(s.heading);
  return { x: s.x - d.x * s.length, y: s.y - d.y * s.length };
}

// corners returns the four corners of a shape, mouth end first.
export function corners(s: Shape): Point[] {
  const d = outward(s.heading), side = { x: -d.y * s.width / 2, y: d.x * s.width / 2 }, t = tailOf(s);
  return [{ x: s.x - side.x, y: s.y - side.y }, { x: s.x + side.x, y: s.y + side.y }, { x: t.x + side.x, y: t.y + side.y }, { x: t.x - side.x, y: t.y - side.y }];
}

interface Placed { id: string; x_cm?: number; y_cm?: number; heading?: number; length_cm?: number; width_cm?: number }

const lists = (show: Show): [ShapeKind, readonly Placed[]][] => [['lane', show.park.lanes], ['line', show.park.lines ?? []], ['spot', show.park.spots ?? []]];

// hasPlace reports whether a part of the park has a position: one at the very
// corner of the sheet without a heading counts as not given.
export function hasPlace(p: Pick<Placed, 'x_cm' | 'y_cm' | 'heading'>): boolean {
  return !!p.x_cm || !!p.y_cm || !!p.heading;
}

// shapes returns all parts of the park that have a position, as drawn.
export function shapes(show: Show): Shape[] {
  return lists(show).flatMap(([kind, list]) => list.filter(hasPlace).map((p) => shapeOf(kind, p)));
}

// unplaced returns the parts of the park without a position.
export function unplaced(show: Show): { kind: ShapeKind; id: string; length: number }[] {
  return lists(show).flatMap(([kind, list]) => list.filter((p) => !hasPlace(p)).map((p) => ({ kind, id: p.id, length: p.length_cm ?? usualLength[kind] })));
}

function shapeOf(kind: ShapeKind, p: Placed): Shape {
  return {
    kind, id: p.id, x: p.x_cm ?? 0, y: p.y_cm ?? 0, heading: kind === 'spot' ? spotHeading : p.heading ?? 0,
    length: p.length_cm ?? usualLength[kind], width: p.width_cm ?? usualWidth,
  };
}

export const turned = (heading: number, by: number) => (((Math.round(heading + by)) % 360) + 360) % 360;

// headingFrom returns the heading of the way from one point to another.
export function headingFrom(from: Point, to: Point): number {
  return turned((Math.atan2(to.x - from.x, from.y - to.y) * 180) / Math.PI, 0);
}

export const distance = (a: Point, b: Point) => Math.hypot(a.x - b.x, a.y - b.y);

const step = 10; // lengths are drawn in steps of 10 cm

// drawn returns what a drag from the mouth (or head) inward makes. A part with
// a length of its own keeps it.
export function drawn(kind: ShapeKind, id: string, mouth: Point, inward: Point, length?: number): Shape {
  const long = length ?? Math.max(step, Math.round(distance(mouth, inward) / step) * step);
  const heading = kind === 'spot' ? spotHeading : headingFrom(inward, mouth);
  return { kind, id, x: Math.round(mouth.x), y: Math.round(mouth.y), heading, length: long, width: usualWidth };
}

const square = [0, 90, 180, 270];

// snapHeading returns a heading as that of another shape, or square to the
// sheet, when it is within so many degrees of it.
export function snapHeading(heading: number, others: readonly Shape[], within = 4): number {
  const away = (h: number) => Math.abs(((heading - h + 540) % 360) - 180);
  const near = [...others.filter((o) => o.kind !== 'spot').map((o) => o.heading), ...square].filter((h) => away(h) <= within);
  return near.reduce((best, h) => (away(h) < away(best) ? h : best), near[0] ?? heading);
}

// snapPlace moves a shape so that its mouth lies in one line with that of a
// neighbour of the same heading, and edge to edge with it, where it is within
// so many centimetres of that.
export function snapPlace(s: Shape, others: readonly Shape[], within: number): Shape {
  const d = outward(s.heading), side = { x: -d.y, y: d.x };
  let best: { along: number; across: number; off: number } | undefined;
  for (const o of others) {
    if (o.kind === 'spot' || o.kind !== s.kind || o.heading !== s.heading || o.id === s.id) continue;
    const dx = s.x - o.x, dy = s.y - o.y;
    const along = dx * d.x + dy * d.y, across = dx * side.x + dy * side.y;
    if (Math.abs(along) > within) continue;
    const edge = Math.sign(across || 1) * (o.width + s.width) / 2;
    const toEdge = Math.abs(across - edge) <= within ? edge - across : 0;
    const off = Math.abs(across);
    if (!best || off < best.off) best = { along: -along, across: toEdge, off };
  }
  if (!best) return s;
  return { ...s, x: Math.round(s.x + d.x * best.along + side.x * best.across), y: Math.round(s.y + d.y * best.along + side.y * best.across) };
}

// copies returns n more of a shape beside it, from middle to middle so far
// apart: to the right of who looks out of the mouth, to the left when spacing
// is negative. Ids are for the caller to give.
export function copies(s: Shape, n: number, spacing: number): Shape[] {
  const d = outward(s.heading), side = { x: -d.y, y: d.x };
  return Array.from({ length: n }, (_, i) => ({ ...s, x: Math.round(s.x + side.x * spacing * (i + 1)), y: Math.round(s.y + side.y * spacing * (i + 1)) }));
}

// mouthsIn returns the ids of the lanes whose mouths lie in the rectangle
// between two points.
export function mouthsIn(list: readonly Shape[], a: Point, b: Point): string[] {
  const inside = (v: number, p: number, q: number) => v >= Math.min(p, q) && v <= Math.max(p, q);
  return list.filter((s) => s.kind === 'lane' && inside(s.x, a.x, b.x) && inside(s.y, a.y, b.y)).map((s) => s.id);
}

// place writes a shape into the show: its position, heading and, when it is to
// be kept, its length.
export function place(show: Show, s: Shape, keepLength = true): void {
  const list = lists(show).find(([kind]) => kind === s.kind)![1] as Placed[];
  const p = list.find((x) => x.id === s.id);
  if (!p) return;
  p.x_cm = s.x;
  p.y_cm = s.y;
  if (s.kind !== 'spot') p.heading = s.heading;
  if (keepLength) p.length_cm = s.length;
}

// Picture is the site picture under the drawing: where its upper left corner
// lies, and how many centimetres one of its pixels is.
export interface Picture extends Point { cmPerPixel: number; opacity: number; wide: number; high: number }

// scaled returns the picture at such a scale that two points of it are so far
// apart; the first stays where it is.
export function scaled(p: Picture, a: Point, b: Point, cm: number): Picture {
  const is = distance(a, b);
  if (is === 0 || cm <= 0) return p;
  const k = cm / is;
  return { ...p, cmPerPixel: p.cmPerPixel * k, x: a.x + (p.x - a.x) * k, y: a.y + (p.y - a.y) * k };
}

export interface View { x: number; y: number; wide: number; high: number }

// around returns the view that holds all shapes and the picture, with a
// margin, which is larger at the foot for the scale bar; an empty sheet is 60 m by 40 m.
export function around(list: readonly Shape[], picture?: Picture): View {
  const points = list.flatMap(corners);
  if (picture) points.push({ x: picture.x, y: picture.y }, { x: picture.x + picture.wide * picture.cmPerPixel, y: picture.y + picture.high * picture.cmPerPixel });
  if (points.length === 0) return { x: 0, y: 0, wide: 6000, high: 4000 };
  const xs = points.map((p) => p.x), ys = points.map((p) => p.y), margin = 400;
  const x = Math.min(...xs) - margin, y = Math.min(...ys) - margin;
  return { x, y, wide: Math.max(...xs) + margin - x, high: Math.max(...ys) + 2 * margin - y };
}
