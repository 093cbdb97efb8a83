// First parade: who is looked at in which order, what was found, and what of
// it the server does not know yet. Nothing here knows a screen or a network.

import type { Film, Happening, LogLine, Place, Show } from './types';
import { secondsOf } from './time';

// Stop is one vehicle to be looked at.
export interface Stop {
  unit: string; name: string; number: string; offRoad: boolean;
  lane: string; // "" when it stands in none
  spot: string; // where it stands instead
  place: number; deep: number; // number from the mouth, of so many
  noseIn: boolean;
  first?: { serial: string; name: string; formUp: string }; // its first serial on that day
}

// placesAt returns where every unit is at a moment, or is on its way to: as
// replanning has it, a move that has begun is made.
export function placesAt(film: Film, at: string): Record<string, Place> {
  const places = { ...film.start }, until = secondsOf(at);
  for (const step of film.steps) if (secondsOf(step.at) <= until) Object.assign(places, step.to);
  return places;
}

// round returns the vehicles in the order of first parade at a moment: lane by
// lane in the order of the park, mouth first, then who stands on spots.
export function round(show: Show, film: Film | undefined, at: string): Stop[] {
  if (!film) return [];
  const places = placesAt(film, at), firsts = firstSerials(show, at);
  const units = new Map<string, { name: string; number: string }>();
  for (const v of show.vehicles) units.set(v.id, { name: v.name, number: v.number ?? '' });
  for (const c of show.combinations ?? []) units.set(c.id, { name: c.name, number: show.vehicles.find((v) => v.id === c.tower)?.number ?? '' });
  const stop = (unit: string, p: Place, lane: string, place: number, deep: number): Stop => ({
    unit, name: units.get(unit)?.name ?? unit, number: units.get(unit)?.number ?? '', offRoad: !!p.off_road,
    lane, spot: lane ? '' : p.id ?? '', place, deep, noseIn: !!p.nose_in, first: firsts.get(unit),
  });
  const list: Stop[] = [];
  const standing = (where: Place['in'], id: string) => Object.entries(places)
    .filter(([, p]) => p.in === where && p.id === id)
    .sort(([a, p], [b, q]) => (p.from_cm ?? 0) - (q.from_cm ?? 0) || (a < b ? -1 : 1));
  for (const lane of show.park.lanes) {
    const here = standing('lane', lane.id);
    here.forEach(([unit, p], i) => list.push(stop(unit, p, lane.id, i + 1, here.length)));
  }
  for (const spot of show.park.spots ?? []) {
    const here = standing('spot', spot.id);
    here.forEach(([unit, p], i) => list.push(stop(unit, p, '', i + 1, here.length)));
  }
  return list;
}

function firstSerials(show: Show, at: string): Map<string, NonNullable<Stop['first']>> {
  const day = at.split(' ')[0], from = secondsOf(at);
  const firsts = new Map<string, NonNullable<Stop['first']>>();
  const begin = (s: Show['serials'][number]) => s.form_up || s.arena_in || '';
  const today = show.serials.filter((s) => begin(s).split(' ')[0] === day && secondsOf(begin(s)) >= from);
  today.sort((a, b) => secondsOf(begin(a)) - secondsOf(begin(b)));
  for (const s of today) {
    for (const e of s.entries) if (!firsts.has(e.unit)) firsts.set(e.unit, { serial: s.id, name: s.name ?? '', formUp: begin(s) });
  }
  return firsts;
}

// An answer is what was found of one vehicle. key tells it from all others of
// this browser; sent says that the server has it, refused why it did not take
// it. Of things that are not about one vehicle unit is "".
export interface Answer { key: number; unit: string; at: string; happenings: Happening[]; sent: boolean; refused?: string }

// give adds an answer. One that was not sent yet and is about the same vehicle
// at the same moment is replaced; one that was sent is said anew.
export function give(answers: readonly Answer[], unit: string, at: string, happenings: Happening[]): Answer[] {
  const key = answers.reduce((n, a) => Math.max(n, a.key), 0) + 1;
  return [...answers.filter((a) => a.sent || unit === '' || a.unit !== unit || a.at !== at), { key, unit, at, happenings: happenings.map((h) => ({ ...h, at: h.at ?? at })), sent: false }];
}

// unsent returns what the server does not know, in the order in which it was
// said.
export function unsent(answers: readonly Answer[]): Answer[] {
  return answers.filter((a) => !a.sent);
}

// waiting returns those of them that can be sent as they are.
export function waiting(answers: readonly Answer[]): Answer[] {
  return answers.filter((a) => !a.sent && !a.refused);
}

// acknowledged marks answers as known to the server.
export function acknowledged(answers: readonly Answer[], keys: readonly number[]): Answer[] {
  return answers.map((a) => (keys.includes(a.key) ? { ...a, sent: true } : a));
}

const findings = ['here', 'elsewhere', 'fit with limits', 'do not move'];
const ofVehicle = [...findings, 'late start', 'failed'];

// fold returns what holds of each vehicle at a moment, when some things were
// said anew: a finding takes the place of all that was said of the vehicle at
// that moment, a late start or a failure joins it, once. The server does the
// same before it replans.
export function fold(said: readonly Happening[], at: string): Map<string, Happening[]> {
  const all = new Map<string, Happening[]>();
  for (const h of said) {
    if (!h.unit || h.at !== at || !ofVehicle.includes(h.kind)) continue;
    const before = findings.includes(h.kind) ? [] : (all.get(h.unit) ?? []).filter((x) => x.kind !== h.kind);
    all.set(h.unit, [...before, h]);
  }
  return all;
}

// found returns what is known of each vehicle at a moment, from the server's
// log and from what was not sent yet.
export function found(log: readonly LogLine[], answers: readonly Answer[], at: string): Map<string, Happening[]> {
  const numbered = [...log].sort((a, b) => a.number - b.number).map((l) => l.happening);
  return fold([...numbered, ...unsent(answers).flatMap((a) => a.happenings)], at);
}

// next returns the place in the round of the first vehicle from a place on,
// and round again, of which nothing is known; the round's length when all are.
export function next(stops: readonly Stop[], known: ReadonlyMap<string, unknown>, from: number): number {
  for (let i = 0; i < stops.length; i++) {
    const at = (from + i) % stops.length;
    if (!known.has(stops[at]!.unit)) return at;
  }
  return stops.length;
}

// roomLeft returns, for each lane, about how many centimetres are left for one
// more vehicle but one, when all stand where they should or were found. Gaps
// are the lane's; the server judges exactly.
export function roomLeft(show: Show, stops: readonly Stop[], known: ReadonlyMap<string, Happening[]>, but: string): Map<string, number> {
  const lengths = new Map<string, number>([...show.vehicles, ...(show.combinations ?? [])].map((u) => [u.id, u.length_cm ?? 0]));
  const left = new Map(show.park.lanes.map((l) => [l.id, l.length_cm]));
  const gaps = new Map(show.park.lanes.map((l) => [l.id, l.gap_cm ?? 0]));
  for (const s of stops) {
    if (s.unit === but) continue;
    const lane = known.get(s.unit)?.find((h) => h.kind === 'elsewhere')?.lane ?? s.lane;
    if (left.has(lane)) left.set(lane, left.get(lane)! - (lengths.get(s.unit) ?? 0) - gaps.get(lane)!);
  }
  return left;
}

// limits returns the happenings of a vehicle that is fit with limits; empty
// when none is given.
export function limits(unit: string, noReverse: boolean, maxRuns: number, until: string): Happening[] {
  const list: Happening[] = [];
  if (noReverse || maxRuns > 0) list.push({ kind: 'fit with limits', unit, ...(noReverse ? { no_reverse: true } : {}), ...(maxRuns > 0 ? { max_runs: maxRuns } : {}) });
  if (until) list.push({ kind: 'late start', unit, until });
  return list;
}

// momentNow returns the show's time for a clock: in the show's time zone where
// it is known, to the minute. undefined outside the days of the show.
export function momentNow(show: Show, now: Date): string | undefined {
  if (!show.first_date) return undefined;
  let parts: Intl.DateTimeFormatPart[];
  try {
    parts = new Intl.DateTimeFormat('en-GB', { timeZone: show.time_zone || undefined, year: 'numeric', month: '2-digit', day: '2-digit', hour: '2-digit', minute: '2-digit', hourCycle: 'h23' }).formatToParts(now);
  } catch {
    return undefined; // a time zone that this browser does not know
  }
  const part = (type: string) => parts.find((p) => p.type === type)?.value ?? '';
  const days = Math.round((Date.parse(`${part('year')}-${part('month')}-${part('day')}T00:00:00Z`) - Date.parse(`${show.first_date}T00:00:00Z`)) / 86_400_000);
  return days >= 0 && days < show.days.length ? `D${days + 1} ${part('hour')}:${part('minute')}` : undefined;
}

// firstParade returns the usual moment of first parade on the first day that
// has serials: two hours before the first of them, on the half hour.
export function firstParade(show: Show): string {
  const begins = show.serials.map((s) => s.form_from || s.form_up || s.arena_in || '').filter((t) => t !== '').sort((a, b) => secondsOf(a) - secondsOf(b));
  if (begins.length === 0) return 'D1 06:00';
  const first = begins[0]!, day = first.split(' ')[0]!;
  const of = secondsOf(first) - secondsOf(`${day} 00:00`);
  const half = Math.max(0, Math.floor((of - 7200) / 1800));
  return `${day} ${String(Math.floor(half / 2)).padStart(2, '0')}:${half % 2 ? '30' : '00'}`;
}
