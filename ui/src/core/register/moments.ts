// Moments as people type them, "Sat 10.30", against the days of a show.

import type { Day } from '../types';

// readMoment reads a day and a time, as "D3 10:30", "Saturday 10:30", "sat
// 1030", "3 10.30". The day may be left out when the show has one day, or when
// after is given: then it is that day. undefined: it is no moment of the show.
export function readMoment(text: string, days: readonly Day[], after?: string): string | undefined {
  const m = /^(.*?)\s*(\d{1,2}[:.]?\d{2})(?:[:.](\d{2}))?$/.exec(text.trim());
  if (!m) return undefined;
  const digits = m[2]!.replace(/[:.]/, '').padStart(4, '0');
  const hours = Number(digits.slice(0, 2)), minutes = Number(digits.slice(2)), seconds = Number(m[3] ?? 0);
  if (hours > 24 || minutes > 59 || seconds > 59 || (hours === 24 && (minutes > 0 || seconds > 0))) return undefined;
  const day = readDay(m[1]!.trim(), days, after);
  if (day === undefined) return undefined;
  const [d, h] = hours === 24 ? [day + 1, 0] : [day, hours];
  const two = (n: number) => String(n).padStart(2, '0');
  return `D${d} ${two(h)}:${two(minutes)}${seconds > 0 ? ':' + two(seconds) : ''}`;
}

function readDay(text: string, days: readonly Day[], after?: string): number | undefined {
  if (text === '') return after ? Number(/^D(\d+)/.exec(after)?.[1] ?? 1) : days.length <= 1 ? 1 : undefined;
  const n = /^(?:day\s*|d)?(\d+)$/i.exec(text);
  if (n) {
    const d = Number(n[1]);
    return d >= 1 && d <= days.length + 1 ? d : undefined; // the night after the last day belongs to the show
  }
  const want = text.toLowerCase();
  const exact = days.findIndex((d) => d.name.toLowerCase() === want);
  if (exact >= 0) return exact + 1;
  const begins = days.flatMap((d, i) => d.name.toLowerCase().startsWith(want) ? [i + 1] : []);
  return want.length >= 2 && begins.length === 1 ? begins[0] : undefined;
}

// writeMoment returns a moment with the name of its day: "Saturday 10:30".
export function writeMoment(at: string, days: readonly Day[]): string {
  const m = /^D(\d+) (.+)$/.exec(at);
  const name = m && days[Number(m[1]) - 1]?.name;
  return m && name ? `${name} ${m[2]}` : at;
}

// secondsOf returns a stored moment, "D3 10:30", in seconds from the midnight
// before day 1; 0 for what is not one.
export function secondsOf(at: string): number {
  const m = /^D(\d+) (\d+):(\d+)(?::(\d+))?$/.exec(at);
  return m ? (Number(m[1]) - 1) * 86_400 + Number(m[2]) * 3600 + Number(m[3]) * 60 + Number(m[4] ?? 0) : 0;
}
