// A comparison put in the order in which it is read.

import type { Comparison, Show } from '../core/types';
import { words } from '../words/issues';

// empty reports whether two states are the same in all that is compared.
export function empty(c: Comparison): boolean {
  return c.events.length === 0 && c.moved.length === 0 && c.notices.length === 0 && c.total.was === c.total.now && c.cost.every((t) => t.was === t.now);
}

// Names finds what people call things; what is gone keeps its id.
export interface Names {
  unit: (id: string) => string;
  serial: (id: string) => string;
  lane: (id: string) => string;
  after: (id: string) => string;
  person: (id: string) => string;
}

export function namesOf(show: Show): Names {
  const named = (list: { id: string; name?: string }[] | undefined) => {
    const map = new Map((list ?? []).map((x) => [x.id, x.name || x.id]));
    return (id: string) => map.get(id) ?? id;
  };
  const [vehicle, combination, serial, lane, person] = [named(show.vehicles), named(show.combinations), named(show.serials), named(show.park.lanes), named(show.people)];
  const duties = new Map((show.duties ?? []).map((d) => [d.id, d.what]));
  return {
    unit: (id) => (vehicle(id) === id ? combination(id) : vehicle(id)),
    serial,
    lane,
    person,
    after: (id) => duties.get(id) ?? serial(id),
  };
}

// bySerial gathers the changes of the order of events under their serials, in
// the order in which they come.
export function bySerial(c: Comparison): { serial: string; changes: Comparison['events'] }[] {
  const groups: { serial: string; changes: Comparison['events'] }[] = [];
  for (const e of c.events) {
    const group = groups.find((g) => g.serial === e.serial);
    if (group) group.changes.push(e);
    else groups.push({ serial: e.serial, changes: [e] });
  }
  return groups;
}

// byUnit gathers stays in another lane under their vehicles, by name.
export function byUnit(c: Comparison, names: Names): { unit: string; name: string; stays: Comparison['moved'] }[] {
  const groups = new Map<string, Comparison['moved']>();
  for (const m of c.moved) groups.set(m.unit, [...(groups.get(m.unit) ?? []), m]);
  return [...groups].map(([unit, stays]) => ({ unit, name: names.unit(unit), stays })).sort((a, b) => a.name.localeCompare(b.name, 'en'));
}

// change says how much more or less a figure is.
export function change(was: number, now: number, grouped: (n: number) => string): string {
  if (now > was) return words.compare.more(grouped(now - was));
  if (now < was) return words.compare.less(grouped(was - now));
  return words.compare.equal;
}

// published writes the moment of an issue in the reader's own time.
export function published(stamp: string): string {
  const at = new Date(stamp);
  if (Number.isNaN(at.getTime())) return stamp;
  return at.toLocaleString('en-GB', { weekday: 'short', day: 'numeric', month: 'short', year: 'numeric', hour: '2-digit', minute: '2-digit' });
}

// whenIn writes moments with the names of a show's days: "Saturday 10:30".
export function whenIn(show: Show): (moment: string) => string {
  return (moment) => {
    const [, day, clock] = /^D(\d+) (.+)$/.exec(moment) ?? [];
    if (day === undefined || clock === undefined) return moment;
    return `${show.days[Number(day) - 1]?.name ?? `D${day}`} ${clock}`;
  };
}
