// The day as a chart: time across, serials down. Everything is in seconds and
// rows; the picture scales it.

import type { Show } from '../core/types';
import { dayAt, secondsAt } from '../core/time';
import { serialsOn } from './edits';

export interface Band {
  serial: string;
  name: string;
  from: number; // the line is being formed
  in: number; // in the arena
  out: number;
  to: number; // all home
  entries: number;
}

// A turn-round is the time between two serials of one vehicle; spare is
// negative when it is due out again before the first is home.
export interface Turn {
  unit: string;
  fromRow: number;
  toRow: number;
  from: number;
  to: number;
  spare: number;
  joined: boolean;
}

export interface Shut {
  zone: string;
  from: number;
  to: number;
}

export interface Chart {
  from: number;
  to: number;
  hours: number[];
  bands: Band[];
  turns: Turn[];
  closings: Shut[];
}

const hour = 3600;

// chartOf lays out the serials of a day from the show with every gap filled.
// null: nothing has a time on that day.
export function chartOf(complete: Show, day: number): Chart | null {
  const bands = serialsOn(complete, day).flatMap((s): Band[] => {
    const inAt = secondsAt(s.arena_in) ?? secondsAt(s.form_up);
    if (inAt === null) return [];
    const out = secondsAt(s.arena_out) ?? inAt;
    const from = secondsAt(s.form_from) ?? secondsAt(s.form_up) ?? inAt;
    return [{ serial: s.id, name: s.name || s.id, from, in: inAt, out, to: secondsAt(s.home_by) ?? out, entries: s.entries.length }];
  });
  if (bands.length === 0) return null;
  const from = Math.floor(Math.min(...bands.map((b) => b.from)) / hour) * hour;
  const to = Math.ceil(Math.max(...bands.map((b) => b.to)) / hour) * hour;
  const hours = Array.from({ length: (to - from) / hour + 1 }, (_, i) => from + i * hour);
  return { from, to, hours, bands, turns: turnsOf(complete, bands), closings: closingsOf(complete, from, to) };
}

// turnsOf follows each vehicle from serial to serial.
function turnsOf(complete: Show, bands: Band[]): Turn[] {
  const turns: Turn[] = [];
  const last = new Map<string, { row: number; joined: boolean }>();
  bands.forEach((band, row) => {
    for (const e of complete.serials.find((s) => s.id === band.serial)!.entries) {
      const before = last.get(e.unit);
      if (before) {
        const from = bands[before.row]!.to;
        turns.push({ unit: e.unit, fromRow: before.row, toRow: row, from, to: band.from, spare: band.from - from, joined: before.joined });
      }
      last.set(e.unit, { row, joined: (e.join ?? '') !== '' });
    }
  });
  return turns;
}

// closingsOf cuts the closings of zones to the hours of the chart.
function closingsOf(complete: Show, from: number, to: number): Shut[] {
  return (complete.closings ?? []).flatMap((c): Shut[] => {
    const [a, b] = [secondsAt(c.closed), secondsAt(c.reopened)];
    if (a === null || b === null || b <= from || a >= to) return [];
    return [{ zone: complete.park.zones?.find((z) => z.id === c.zone)?.name || c.zone, from: Math.max(a, from), to: Math.min(b, to) }];
  });
}

// daysWith lists the numbers of all days of a show and of those beyond on
// which a serial lies.
export function daysWith(show: Show): number[] {
  const days = new Set(show.days.map((_, i) => i + 1));
  for (const s of show.serials) {
    const at = secondsAt(s.arena_in ?? s.form_up ?? s.form_from ?? s.arena_out ?? s.home_by);
    if (at !== null) days.add(dayAt(at));
  }
  return [...days].sort((a, b) => a - b);
}
