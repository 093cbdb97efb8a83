// What comes next at a moment: moves with what they wait for, the next serial,
// and what is worth looking at that day.

import { daySeconds, dayAt, secondsOf } from './time';
import type { Move, Serial, Show, Stay, Table } from './types';

// dueMoves returns the moves that are under way at a moment and those that
// begin next, in the order of the plan.
export function dueMoves(moves: readonly Move[], time: number, most: number): Move[] {
  let ends = endsOf.get(moves);
  if (!ends) endsOf.set(moves, (ends = moves.map((m) => secondsOf(m.start) + m.takes_s)));
  const due: Move[] = [];
  for (let i = 0; i < moves.length && due.length < most; i++) if (ends[i]! > time) due.push(moves[i]!);
  return due;
}
const endsOf = new WeakMap<readonly Move[], number[]>(); // a plan does not change while it is shown

// nextSerial returns the serial whose column leaves next.
export function nextSerial(show: Show, time: number): Serial | undefined {
  const goes = (s: Serial) => secondsOf(s.arena_in ?? s.form_up ?? '');
  return show.serials.filter((s) => goes(s) > time).sort((a, b) => goes(a) - goes(b))[0];
}

// stayAt returns the stay of a unit at a moment; when it is out, the next one.
export function stayAt(stays: readonly Stay[], unit: string, time: number): Stay | undefined {
  const own = stays.filter((s) => s.unit === unit);
  return own.find((s) => s.to === '' || secondsOf(s.to) > time) ?? own[own.length - 1];
}

// withoutLane returns the units that have no lane at a moment.
export function withoutLane(table: Table, time: number): string[] {
  if (!table.plan) {
    const parts = new Set((table.complete.combinations ?? []).flatMap((c) => [c.tower, ...c.towed]));
    const all = [...table.complete.vehicles.filter((v) => !parts.has(v.id)), ...(table.complete.combinations ?? [])];
    return all.map((v) => v.id);
  }
  return [...new Set(table.stays.filter((s) => s.lane === '' && secondsOf(s.from) <= time && (s.to === '' || secondsOf(s.to) > time)).map((s) => s.unit))];
}

export type MarkKind = 'fault' | 'aside' | 'risk';
export interface Mark { number: number; kind: MarkKind; says: string; at: number; units: string[]; lane?: string }

// marksOn returns what is worth looking at on a day: rules broken, moves aside,
// risks of being shut in, each kind in order of time, numbered through.
export function marksOn(table: Table, day: number, asideSays: (unit: string, from: string, to: string) => string): Mark[] {
  const on = (at: string | undefined) => at !== undefined && dayAt(secondsOf(at)) === day;
  const list: Omit<Mark, 'number'>[] = [];
  for (const f of [...table.faults, ...table.order_alone]) {
    if (!f.at || on(f.at)) list.push({ kind: 'fault', says: f.sentence, at: f.at ? secondsOf(f.at) : (day - 1) * daySeconds, units: f.units ?? [] });
  }
  for (const m of table.plan?.moves ?? []) {
    if (m.kind === 'aside' && on(m.start)) list.push({ kind: 'aside', says: asideSays(m.unit ?? '', m.from.id ?? '', m.to.id ?? ''), at: secondsOf(m.start), units: [m.unit ?? ''], lane: m.from.id });
  }
  for (const i of table.cost?.terms.find((t) => t.name === 'shut-in risk')?.items ?? []) {
    if (on(i.at)) list.push({ kind: 'risk', says: i.why, at: secondsOf(i.at!), units: i.units, lane: i.lane });
  }
  const order: MarkKind[] = ['fault', 'aside', 'risk'];
  list.sort((a, b) => order.indexOf(a.kind) - order.indexOf(b.kind) || a.at - b.at);
  return list.map((m, i) => ({ ...m, number: i + 1 }));
}
