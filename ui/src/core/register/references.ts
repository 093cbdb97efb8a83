// What refers to what in a show: for asking before something is removed, for
// renaming an id everywhere, and for taking a removed one out everywhere.

import type { Show } from '../types';
import type { TableName } from './fields';

// Where something is referred to: the kind of thing and its name.
export interface Referrer { kind: TableName | 'serials' | 'entries'; name: string; gone: boolean } // gone: it goes too when what it refers to is removed

type Visit = (id: string, by: Referrer) => string | undefined; // the id to have there; undefined: none

function many(list: string[] | undefined, by: Referrer, f: Visit): string[] | undefined {
  return list?.flatMap((id) => { const to = f(id, by); return to === undefined ? [] : [to]; });
}

// units visits all references to vehicles and combinations.
function units(s: Show, f: Visit): void {
  for (const v of s.vehicles) {
    const by = (): Referrer => ({ kind: 'vehicles', name: v.name, gone: false });
    if (v.keep_together) v.keep_together = many(v.keep_together, by(), f);
    if (v.keep_apart) v.keep_apart = many(v.keep_apart, by(), f);
  }
  s.combinations = s.combinations?.flatMap((c) => {
    const by: Referrer = { kind: 'combinations', name: c.name, gone: true };
    const tower = f(c.tower, by), towed = many(c.towed, by, f)!;
    return tower === undefined || towed.length === 0 ? [] : [{ ...c, tower, towed }];
  });
  const gone: string[] = [];
  for (const serial of s.serials) {
    serial.entries = serial.entries.flatMap((e) => {
      const unit = f(e.unit, { kind: 'entries', name: serial.name || serial.id, gone: true });
      if (unit === undefined) { gone.push(e.id); return []; }
      const reserves = many(e.reserves, { kind: 'serials', name: serial.name || serial.id, gone: false }, f);
      return [{ ...e, unit, ...(reserves ? { reserves } : {}) }];
    });
  }
  for (const serial of s.serials) if (serial.leaving) serial.leaving = serial.leaving.filter((id) => !gone.includes(id));
  s.duties = s.duties?.flatMap((d) => {
    const unit = f(d.unit, { kind: 'duties', name: d.what || d.id, gone: true });
    return unit === undefined ? [] : [{ ...d, unit }];
  });
}

function people(s: Show, f: Visit): void {
  for (const v of s.vehicles) {
    const by: Referrer = { kind: 'vehicles', name: v.name, gone: false };
    if (v.usual_driver) v.usual_driver = f(v.usual_driver, by);
    if (v.drivers) v.drivers = many(v.drivers, by, f);
  }
  for (const serial of s.serials) {
    for (const e of serial.entries) {
      const by: Referrer = { kind: 'serials', name: serial.name || serial.id, gone: false };
      if (e.driver) e.driver = f(e.driver, by);
      if (e.crew) e.crew = many(e.crew, by, f);
    }
  }
  for (const d of s.duties ?? []) if (d.driver) d.driver = f(d.driver, { kind: 'duties', name: d.what || d.id, gone: false });
}

function lanes(s: Show, f: Visit): void {
  for (const [kind, list] of [['vehicles', s.vehicles], ['combinations', s.combinations ?? []]] as const) {
    for (const u of list) {
      if (!u.home?.lane) continue;
      const lane = f(u.home.lane, { kind, name: u.name, gone: false });
      u.home = lane === undefined ? undefined : { ...u.home, lane };
    }
  }
  for (const line of s.park.lines ?? []) {
    if (!line.fouls) continue;
    const by: Referrer = { kind: 'lines', name: line.name || line.id, gone: false };
    line.fouls = line.fouls.map((x) => ({ ...x, lanes: many(x.lanes, by, f)! })).filter((x) => x.lanes.length > 0);
  }
}

function zones(s: Show, f: Visit): void {
  for (const v of s.vehicles) if (v.zones) v.zones = many(v.zones, { kind: 'vehicles', name: v.name, gone: false }, f);
  for (const l of s.park.lanes) if (l.zone) l.zone = f(l.zone, { kind: 'lanes', name: l.id, gone: false });
  for (const l of s.park.lines ?? []) if (l.zone) l.zone = f(l.zone, { kind: 'lines', name: l.name || l.id, gone: false });
  for (const x of s.park.spots ?? []) if (x.zones) x.zones = many(x.zones, { kind: 'spots', name: x.name || x.id, gone: false }, f);
  s.closings = s.closings?.flatMap((c) => {
    const zone = f(c.zone, { kind: 'closings', name: c.closed, gone: true });
    return zone === undefined ? [] : [{ ...c, zone }];
  });
}

function stretches(s: Show, f: Visit): void {
  for (const l of s.park.lanes) {
    const by: Referrer = { kind: 'lanes', name: l.id, gone: false };
    if (l.mouth) l.mouth = f(l.mouth, by);
    if (l.tail) l.tail = f(l.tail, by);
  }
}

function lines(s: Show, f: Visit): void {
  for (const serial of s.serials) {
    const by: Referrer = { kind: 'serials', name: serial.name || serial.id, gone: false };
    if (serial.line) serial.line = f(serial.line, by);
    if (serial.home_line) serial.home_line = f(serial.home_line, by);
  }
}

function spots(s: Show, f: Visit): void {
  for (const c of s.combinations ?? []) if (c.couple_at) c.couple_at = f(c.couple_at, { kind: 'combinations', name: c.name, gone: false });
}

function classes(s: Show, f: Visit): void {
  for (const v of s.vehicles) if (v.class) v.class = f(v.class, { kind: 'vehicles', name: v.name, gone: false });
}

const walks: Partial<Record<TableName, (s: Show, f: Visit) => void>> = {
  vehicles: units, combinations: units, people, lanes, zones, stretches, lines, spots, classes,
};

// referrers lists what refers to an id of a table, each once, in the order of
// the show.
export function referrers(show: Show, of: TableName, id: string): Referrer[] {
  const list: Referrer[] = [];
  walks[of]?.(structuredClone(show), (at, by) => {
    if (at === id && !list.some((r) => r.kind === by.kind && r.name === by.name)) list.push(by);
    return at;
  });
  return list;
}

// rename gives an id another name everywhere it is referred to. It changes the
// show.
export function rename(show: Show, of: TableName, was: string, now: string): void {
  walks[of]?.(show, (id) => (id === was ? now : id));
}

// forget takes an id out of everything that refers to it; what cannot be
// without it goes too. It changes the show.
export function forget(show: Show, of: TableName, id: string): void {
  walks[of]?.(show, (at) => (at === id ? undefined : at));
}
