// The park side by side: lanes, lines and spots without regard to where they
// lie, lengths to scale, in columns that use the room there is.

import type { Shape } from './ground';
import type { Lane, Park } from './types';

// Piece is a run of lanes of one zone and stretch, one below the other.
export interface Piece { zone: string; mouth: string; tail: string; x: number; y: number; wide: number; high: number }
export interface Scheme { shapes: Shape[]; pieces: Piece[]; wide: number; high: number }

const pitch = 45, headHigh = 235, columnGap = 230;
const headLetter = 78; // of what stands over a run of lanes
const arrows = 330; // room before a lane's name
const usual = { width: 300, widest: 330, lane: 2000, line: 6000, spot: 2000 };

interface Row { lane: Lane; name: string; width: number; group: string; head: number }

// schemeOf lays parts of a park out from a corner: lines and spots in shelves,
// below them lanes in columns, as large as can be in an area so many times as
// wide as high.
export function schemeOf(park: Park, left: number, top: number, aspect: number): Scheme {
  const rows = rowsOf(park);
  let best: Scheme | undefined, least = Infinity;
  for (let columns = 1; columns <= Math.max(1, Math.min(16, rows.length)); columns++) {
    const s = laid(park, rows, columns, left, top), size = Math.max(s.wide / aspect, s.high);
    if (size < least) [best, least] = [s, size];
  }
  return best!;
}

// rowsOf lists lanes by zone and stretch.
function rowsOf(park: Park): Row[] {
  const zones = [...new Set(park.lanes.map((l) => l.zone ?? ''))];
  const lanes = zones.flatMap((z) => {
    const here = park.lanes.filter((l) => (l.zone ?? '') === z);
    return [...new Set(here.map((l) => l.mouth ?? ''))].flatMap((m) => here.filter((l) => (l.mouth ?? '') === m));
  });
  return lanes.map((l) => ({ lane: l, name: l.name || l.id, width: Math.min(usual.widest, l.width_cm ?? usual.width), group: `${l.zone ?? ''}/${l.mouth ?? ''}`, head: headRoom(park, l) }));
}

// headRoom is how wide what stands over a run of lanes can be: its zone, with
// its stretches or, where the public walk in it, until when it is closed.
function headRoom(park: Park, l: Lane): number {
  const zone = park.zones?.find((z) => z.id === l.zone), called = (id?: string) => { const s = park.stretches?.find((x) => x.id === id); return id ? (s?.name || id).length + 3 : 0; };
  return headLetter * ((zone?.name || l.zone || '').length + Math.max(called(l.mouth) + called(l.tail), zone?.public ? 21 : 0));
}

// Names before a mouth: short ones large, others small, long ones on two lines.
const short = 5, long = 11; // letters
export const nameSize = (name: string) => (name.length <= short ? 150 : 110);

// nameRoom is how wide a name before a mouth is.
export const nameRoom = (name: string) => nameSize(name) * 0.57 * Math.max(...nameLines(name).map((l) => l.length)) + 40;

// nameLines breaks a long name at the space nearest to its middle.
export function nameLines(name: string): string[] {
  if (name.length <= long) return [name];
  const spaces = [...name].flatMap((c, i) => (c === ' ' ? [i] : []));
  const at = spaces.sort((a, b) => Math.abs(a - name.length / 2) - Math.abs(b - name.length / 2))[0];
  return at === undefined ? [name] : [name.slice(0, at), name.slice(at + 1)];
}

function laid(park: Park, rows: readonly Row[], columns: number, left: number, top: number): Scheme {
  const shapes: Shape[] = [], pieces: Piece[] = [];
  let x = left, high = 0;
  for (const list of columnsOf(rows, columns)) {
    const room = arrows + Math.max(0, ...list.map((r) => nameRoom(r.name))), deep = Math.max(0, ...list.map((r) => Math.max(r.lane.length_cm, r.head - room)));
    let y = 0, piece: Piece | undefined, group: string | undefined;
    for (const r of list) {
      if (!piece || r.group !== group) {
        piece = { zone: r.lane.zone ?? '', mouth: r.lane.mouth ?? '', tail: r.lane.tail ?? '', x, y, wide: room + deep, high: headHigh };
        group = r.group;
        pieces.push(piece);
        y += headHigh;
      }
      shapes.push({ kind: 'lane', id: r.lane.id, x: x + room, y: y + r.width / 2, heading: 270, length: r.lane.length_cm, width: r.width });
      y += r.width + pitch;
      piece.high = y - piece.y;
    }
    x += room + deep + columnGap;
    high = Math.max(high, y);
  }
  const shelved = shelves(park, left, top, x - columnGap - left);
  for (const s of shapes) s.y += shelved.below;
  for (const p of pieces) p.y += shelved.below;
  return { shapes: [...shelved.shapes, ...shapes], pieces, wide: Math.max(x - columnGap - left, shelved.wide), high: shelved.below - top + high };
}

// columnsOf shares rows out over columns of about the same height.
function columnsOf(rows: readonly Row[], columns: number): Row[][] {
  const all = rows.reduce((n, r) => n + r.width + pitch, 0) + new Set(rows.map((r) => r.group)).size * headHigh;
  const lists: Row[][] = [[]];
  let filled = 0, head = '';
  for (const r of rows) {
    const high = r.width + pitch + (r.group === head && filled > 0 ? 0 : headHigh);
    if (filled > 0 && lists.length < columns && filled + high / 2 > all / columns) { lists.push([]); filled = 0; }
    lists.at(-1)!.push(r);
    filled += high;
    head = r.group;
  }
  return lists;
}

// shelves sets lines, then spots, one behind the other, each on the first shelf
// with room for it.
function shelves(park: Park, left: number, top: number, wide: number): { shapes: Shape[]; wide: number; below: number } {
  const list = [
    ...(park.lines ?? []).map((l) => ({ kind: 'line' as const, id: l.id, name: l.name || l.id, length: l.length_cm ?? usual.line })),
    ...(park.spots ?? []).map((s) => ({ kind: 'spot' as const, id: s.id, name: s.name || s.id, length: s.length_cm ?? usual.spot })),
  ];
  const room = Math.max(wide, ...list.map((p) => nameRoom(p.name) + p.length)), ends: number[] = [], shapes: Shape[] = [];
  for (const p of list) {
    const before = nameRoom(p.name);
    let n = ends.findIndex((end) => end + before + p.length <= room);
    if (n < 0) n = ends.push(0) - 1;
    shapes.push({ kind: p.kind, id: p.id, x: left + ends[n]! + before, y: top + n * (usual.width + 90) + usual.width / 2, heading: 270, length: p.length, width: usual.width });
    ends[n]! += before + p.length + 250;
  }
  return { shapes, wide: Math.max(0, ...ends.map((e) => e - 250)), below: top + ends.length * (usual.width + 90) + (ends.length ? 60 : 0) };
}
