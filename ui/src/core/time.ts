// Moments of a show. Stored they are text, "D3 10:30"; here also seconds from
// the midnight before its first day. Days count from 1.

import type { Day, Instant } from './types';

export const daySeconds = 86_400;

const two = (n: number) => String(n).padStart(2, '0');

// secondsAt returns a stored moment in seconds; null when it is not given or no
// moment.
export function secondsAt(moment: Instant | undefined): number | null {
  const m = /^D(\d+) (\d{1,2}):(\d{2})(?::(\d{2}))?$/.exec(moment ?? '');
  return m ? (Number(m[1]) - 1) * daySeconds + Number(m[2]) * 3600 + Number(m[3]) * 60 + Number(m[4] ?? 0) : null;
}

// secondsOf is secondsAt where a moment is always given; 0 for what is not one.
export const secondsOf = (moment: Instant | undefined): number => secondsAt(moment) ?? 0;

// momentAt is the inverse of secondsAt.
export function momentAt(seconds: number): Instant {
  return `D${dayAt(seconds)} ${clockAt(seconds)}`;
}

// clockAt gives the time of day, with seconds only when there are some.
export function clockAt(seconds: number): string {
  const s = ((seconds % daySeconds) + daySeconds) % daySeconds;
  const text = `${two(Math.floor(s / 3600))}:${two(Math.floor(s / 60) % 60)}`;
  return s % 60 === 0 ? text : `${text}:${two(s % 60)}`;
}

// dayAt returns the number of the day in which a moment lies.
export function dayAt(seconds: number): number {
  return Math.floor(seconds / daySeconds) + 1;
}

// shownOn gives a moment as it stands in the table of a day: the time of day,
// with the day before it only when it is another.
export function shownOn(day: number, moment: Instant | undefined): string {
  const t = secondsAt(moment);
  if (t === null) return '';
  return dayAt(t) === day ? clockAt(t) : `D${dayAt(t)} ${clockAt(t)}`;
}

// writeMoment returns a moment with the name of its day: "Saturday 10:30".
export function writeMoment(at: Instant, days: readonly Day[]): string {
  const m = /^D(\d+) (.+)$/.exec(at);
  const name = m && days[Number(m[1]) - 1]?.name;
  return m && name ? `${name} ${m[2]}` : at;
}

// A typed time: a moment, a number of minutes by which to move, nothing, or
// not a time at all.
export type Typed = { kind: 'moment'; moment: Instant } | { kind: 'by'; minutes: number } | { kind: 'none' } | { kind: 'wrong' };

// readClock reads a time of a given day: 1030, 930, 9, 10:30, 10.30, 10h30,
// 10:30:15, "D4 0:20", and +10 or -5 for minutes later or earlier. 24:00 is the
// next midnight.
export function readClock(text: string, day: number): Typed {
  const t = text.trim();
  if (t === '') return { kind: 'none' };
  const by = /^([+\-−])\s*(\d{1,3})$/.exec(t);
  if (by) return { kind: 'by', minutes: (by[1] === '+' ? 1 : -1) * Number(by[2]) };
  const m =
    /^(?:[dD](\d{1,3})\s+)?(\d{1,2})(?:[:.hH ](\d{2})(?:[:.](\d{2}))?)?$/.exec(t) ?? /^(?:[dD](\d{1,3})\s+)?(\d{1,2})(\d{2})$/.exec(t);
  const of = m && ofDay(Number(m[2]), Number(m[3] ?? 0), Number(m[4] ?? 0));
  const on = m?.[1] === undefined ? day : Number(m[1]);
  if (of === null || of === undefined || on < 1) return { kind: 'wrong' };
  return { kind: 'moment', moment: momentAt((on - 1) * daySeconds + of) };
}

// readMoment reads a day and a time, as "D3 10:30", "Saturday 10:30", "sat
// 1030", "3 10.30". The day may be left out when the show has one day, or when
// after is given: then it is that day. undefined: it is no moment of the show.
export function readMoment(text: string, days: readonly Day[], after?: Instant): Instant | undefined {
  const m = /^(.*?)\s*(\d{1,2}[:.]?\d{2})(?:[:.](\d{2}))?$/.exec(text.trim());
  if (!m) return undefined;
  const digits = m[2]!.replace(/[:.]/, '').padStart(4, '0');
  const of = ofDay(Number(digits.slice(0, 2)), Number(digits.slice(2)), Number(m[3] ?? 0)), day = readDay(m[1]!.trim(), days, after);
  return of === undefined || day === undefined ? undefined : momentAt((day - 1) * daySeconds + of);
}

// ofDay returns the seconds since midnight; undefined: there is no such time.
function ofDay(hour: number, minute: number, second: number): number | undefined {
  const midnight = hour === 24 && minute === 0 && second === 0;
  return minute > 59 || second > 59 || (hour > 23 && !midnight) ? undefined : hour * 3600 + minute * 60 + second;
}

function readDay(text: string, days: readonly Day[], after?: Instant): number | undefined {
  if (text === '') return after ? dayAt(secondsOf(after)) : days.length <= 1 ? 1 : undefined;
  const n = /^(?:day\s*|d)?(\d+)$/i.exec(text);
  if (n) {
    const d = Number(n[1]);
    return d >= 1 && d <= days.length + 1 ? d : undefined; // the night after the last day belongs to the show
  }
  const want = text.toLowerCase();
  const exact = days.findIndex((d) => d.name.toLowerCase() === want);
  if (exact >= 0) return exact + 1;
  const begins = days.flatMap((d, i) => (d.name.toLowerCase().startsWith(want) ? [i + 1] : []));
  return want.length >= 2 && begins.length === 1 ? begins[0] : undefined;
}
