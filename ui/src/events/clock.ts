// Times of day as they are typed into the order of events.

const daySeconds = 86_400;

// secondsAt returns a moment ("D3 10:30") as seconds since the midnight before
// the show's first day; null when it is not given or no moment.
export function secondsAt(moment: string | undefined): number | null {
  const m = /^D(\d+) (\d{1,2}):(\d{2})(?::(\d{2}))?$/.exec(moment ?? '');
  if (!m) return null;
  return (Number(m[1]) - 1) * daySeconds + Number(m[2]) * 3600 + Number(m[3]) * 60 + Number(m[4] ?? 0);
}

// momentAt is the inverse of secondsAt.
export function momentAt(seconds: number): string {
  const day = Math.floor(seconds / daySeconds);
  return `D${day + 1} ${clockAt(seconds)}`;
}

// clockAt gives the time of day, with seconds only when there are some.
export function clockAt(seconds: number): string {
  const s = ((seconds % daySeconds) + daySeconds) % daySeconds;
  const two = (n: number) => String(n).padStart(2, '0');
  const text = `${two(Math.floor(s / 3600))}:${two(Math.floor(s / 60) % 60)}`;
  return s % 60 === 0 ? text : `${text}:${two(s % 60)}`;
}

// dayAt returns the number of the day in which a moment lies, 1 the first.
export function dayAt(seconds: number): number {
  return Math.floor(seconds / daySeconds) + 1;
}

// shownOn gives a moment as it stands in the table of a day: the time of day,
// with the day before it only when it is another.
export function shownOn(day: number, moment: string | undefined): string {
  const t = secondsAt(moment);
  if (t === null) return '';
  return dayAt(t) === day ? clockAt(t) : `D${dayAt(t)} ${clockAt(t)}`;
}

// A typed time: a moment, a number of minutes by which to move, nothing, or
// not a time at all.
export type Typed = { kind: 'moment'; moment: string } | { kind: 'by'; minutes: number } | { kind: 'none' } | { kind: 'wrong' };

// readClock reads 1030, 930, 9, 10:30, 10.30, 10h30, 10:30:15, "D4 0:20", and
// +10 or -5 for minutes later or earlier. 24:00 is the next midnight.
export function readClock(text: string, day: number): Typed {
  const t = text.trim();
  if (t === '') return { kind: 'none' };
  const by = /^([+\-−])\s*(\d{1,3})$/.exec(t);
  if (by) return { kind: 'by', minutes: (by[1] === '+' ? 1 : -1) * Number(by[2]) };
  const m =
    /^(?:[dD](\d{1,3})\s+)?(\d{1,2})(?:[:.hH ](\d{2})(?:[:.](\d{2}))?)?$/.exec(t) ?? /^(?:[dD](\d{1,3})\s+)?(\d{1,2})(\d{2})$/.exec(t);
  if (!m) return { kind: 'wrong' };
  const on = m[1] === undefined ? day : Number(m[1]);
  const [hour, minute, second] = [Number(m[2]), Number(m[3] ?? 0), Number(m[4] ?? 0)];
  const midnight = hour === 24 && minute === 0 && second === 0;
  if (on < 1 || minute > 59 || second > 59 || (hour > 23 && !midnight)) return { kind: 'wrong' };
  return { kind: 'moment', moment: momentAt((on - 1) * daySeconds + hour * 3600 + minute * 60 + second) };
}
