// What stands where at any moment of a plan, and how it gets there.

import { distance, type Point } from './ground';
import { secondsOf } from './time';
import { along, poseOf, type Pose, type Sheet } from './sheet';
import type { Film, Move, Place } from './types';

export interface Step { move: string; at: number; ends: number; to: Record<string, Place> }

// Where a unit is at a moment; with goes while it is on its way there.
export interface Standing { place: Place; goes?: { from: Place; step: Step; part: number } }

// Reel plays a film to and fro. Moments are seconds from the midnight before
// day 1. Going forward costs only the steps in between.
export class Reel {
  readonly steps: Step[];
  readonly from: number;
  readonly to: number;
  #film: Film;
  #index = 0; // steps begun
  #time = -Infinity;
  #places = new Map<string, Place>();
  #under = new Map<string, { from: Place; step: Step }>(); // on their way
  #changed = new Set<string>(); // since they were told

  constructor(film: Film) {
    this.#film = film;
    this.steps = ownMarks(film.start, film.steps.map((s) => ({ move: s.move, at: secondsOf(s.at), ends: secondsOf(s.ends), to: { ...s.to } })));
    this.from = secondsOf(film.from);
    this.to = Math.max(this.from, secondsOf(film.to));
    this.#rewind();
  }

  #rewind() {
    this.#index = 0;
    this.#places = new Map(Object.entries(this.#film.start));
    this.#under = new Map();
    this.#changed = new Set(this.#places.keys());
  }

  // at returns every unit at a moment. A step takes effect from its start on;
  // until it ends its units are on their way.
  at(time: number): Map<string, Standing> {
    this.#go(time);
    return new Map([...this.#places.keys()].map((unit) => [unit, this.#standing(unit)]));
  }

  // since returns the units that are on their way at a moment, and those whose
  // place is not as it was told last.
  *since(time: number): Generator<[string, Standing]> {
    this.#go(time);
    for (const unit of this.#changed) if (!this.#under.has(unit)) yield [unit, this.#standing(unit)];
    this.#changed.clear();
    for (const unit of this.#under.keys()) {
      yield [unit, this.#standing(unit)];
      this.#changed.add(unit); // to be told once more when it stands
    }
  }

  #standing(unit: string): Standing {
    const place = this.#places.get(unit)!, under = this.#under.get(unit);
    return under ? { place, goes: { ...under, part: (this.#time - under.step.at) / (under.step.ends - under.step.at) } } : { place };
  }

  #go(time: number) {
    if (time === this.#time) return;
    if (time < this.#time) this.#rewind();
    this.#time = time;
    while (this.#index < this.steps.length && this.steps[this.#index]!.at <= time) {
      const step = this.steps[this.#index++]!;
      for (const [unit, to] of Object.entries(step.to)) {
        const from = this.#places.get(unit) ?? { in: 'away' };
        this.#places.set(unit, to);
        this.#changed.add(unit);
        if (step.ends > time && step.ends > step.at) this.#under.set(unit, { from, step });
        else this.#under.delete(unit);
      }
    }
    for (const [unit, { step }] of this.#under) if (step.ends <= time) this.#under.delete(unit);
  }

  // next returns the moment of the first step that begins after a moment, or
  // the last that begins before it; the moment itself when there is none.
  next(time: number, back = false): number {
    if (back) return this.steps.findLast((s) => s.at < time)?.at ?? this.from;
    return this.steps.find((s) => s.at > time)?.at ?? this.to;
  }
}

// ownMarks lets each unit drive to the mark where it stands when all are on the
// line. The judge counts marks from those who are there already, so that one who
// comes in front moves others back; nobody drives that.
function ownMarks(start: Record<string, Place>, steps: Step[]): Step[] {
  const came = new Map<string, Step>(); // the last step of each unit
  const places = new Map(Object.entries(start));
  const stays = (unit: string, to: Place) => to.in === 'line' && places.get(unit)?.in === 'line' && places.get(unit)!.id === to.id;
  for (const step of steps) {
    const to = Object.entries(step.to), fresh = new Set(to.filter(([u, p]) => p.in === 'line' && !stays(u, p)).map(([, p]) => p.id));
    for (const [unit, place] of to) {
      const last = came.get(unit);
      if (last && stays(unit, place) && fresh.has(place.id)) {
        last.to[unit] = place;
        delete step.to[unit];
      } else came.set(unit, step);
      places.set(unit, place);
    }
  }
  return steps;
}

const apron = 700; // how far in front of a mouth vehicles turn

type Way = Point & { reverse?: boolean };

// wayOut returns the corners of the way out of where a vehicle stands.
function wayOut(sheet: Sheet, p: Place, length: number, end: string | undefined): Way[] {
  const pose = poseOf(sheet, p, length), s = sheet.strips.get(`${p.in}/${p.id ?? ''}`);
  if (!pose || !s) return [];
  const tail = p.in === 'lane' && end === 'tail';
  const reverse = p.in === 'lane' && (tail ? !p.nose_in : !!p.nose_in);
  return [{ x: pose.x, y: pose.y }, { ...along(s, tail ? s.length + apron : -apron), reverse }];
}

// pathOf returns the corners of the way of a move: out of its place, over the
// frontage, into the next. A corner's reverse is about the way that ends there.
export function pathOf(sheet: Sheet, from: Place, to: Place, length: number, move?: Move): Way[] {
  if (from.in === to.in && from.id === to.id) {
    return [poseOf(sheet, from, length), poseOf(sheet, to, length)].filter((p) => p !== undefined);
  }
  const into = wayOut(sheet, to, length, move?.to.end ?? (to.in === 'line' ? 'tail' : undefined)).reverse();
  if (into.length === 2) {
    into[0] = { x: into[0]!.x, y: into[0]!.y };
    into[1] = { x: into[1]!.x, y: into[1]!.y, reverse: move?.reverse };
  }
  if (to.in === 'line') { // from its tail up to the mark
    const s = sheet.strips.get(`line/${to.id ?? ''}`);
    if (s && into.length) into[0] = along(s, s.length + apron);
  }
  const out = wayOut(sheet, from, length, move?.from.end);
  const gate = { x: sheet.gate.x, y: sheet.gate.y - 500 };
  return [...(out.length ? out : [gate]), ...(into.length ? into : [gate])];
}

// poseOn returns the pose after a part (0 to 1) of a way; vehicles turn over
// the length of a car at its corners.
export function poseOn(way: readonly Way[], part: number, from: number | undefined, to: number | undefined): Pose | undefined {
  if (way.length === 0) return undefined;
  const legs = way.slice(1).map((b, i) => ({ a: way[i]!, b, long: distance(way[i]!, b) })).filter((l) => l.long > 0);
  const all = legs.reduce((n, l) => n + l.long, 0);
  if (!all) return { x: way[0]!.x, y: way[0]!.y, heading: to ?? from ?? 0 };
  const facing = legs.map((l) => (((Math.atan2(l.b.x - l.a.x, l.a.y - l.b.y) * 180) / Math.PI) + (l.b.reverse ? 540 : 360)) % 360);
  let rest = Math.min(1, Math.max(0, part)) * all, i = 0;
  while (i < legs.length - 1 && rest > legs[i]!.long) rest -= legs[i++]!.long;
  const leg = legs[i]!, k = rest / leg.long, bend = Math.min(350, leg.long / 2);
  const before = i === 0 ? from ?? facing[0]! : facing[i - 1]!, after = i === legs.length - 1 ? to ?? facing[i]! : facing[i + 1]!;
  let heading = facing[i]!;
  if (rest < bend) heading = turn(before, heading, 0.5 + rest / bend / 2);
  else if (leg.long - rest < bend) heading = turn(heading, after, 0.5 - (leg.long - rest) / bend / 2);
  return { x: leg.a.x + (leg.b.x - leg.a.x) * k, y: leg.a.y + (leg.b.y - leg.a.y) * k, heading };
}

// turn returns a heading part of the way from a to b, the short way round.
export function turn(a: number, b: number, part: number): number {
  const by = ((b - a + 540) % 360) - 180;
  return (a + by * part + 360) % 360;
}
