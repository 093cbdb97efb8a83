// Which fields each other kind of happening has. Adding a kind means adding a
// line here and its words.

import type { Day, Happening, Show } from '../core/types';
import { readSpan } from '../core/measure';
import { named } from '../core/register/values';
import { readMoment, secondsOf, writeMoment } from '../core/time';
import { happenWords, words } from '../words/stands';

export type Key = 'unit' | 'until' | 'where' | 'lane' | 'serial' | 'other' | 'by_s' | 'reserve' | 'from' | 'to';
export interface Ask { key: Key; label: string; needed: boolean; choices?: (show: Show, typed: Typed) => { id: string; name: string }[] }
export type Typed = Partial<Record<Key, string>>;

const units = (show: Show) => named(show, 'units');
const serials = (show: Show) => show.serials.map((s) => ({ id: s.id, name: [s.id, s.name, s.form_up || s.arena_in ? writeMoment(s.form_up || s.arena_in!, show.days) : ''].filter((x) => x).join(', ') }));
const inSerial = (show: Show, typed: Typed) => {
  const ids = show.serials.find((s) => s.id === typed.serial)?.entries.map((e) => e.unit) ?? [];
  return units(show).filter((u) => ids.includes(u.id));
};
const lanes = (show: Show) => named(show, 'lanes');
const failures = () => ['in lane', 'in the mouth', 'on the line', 'on road or gate', 'in the arena', 'while reversing in'].map((x) => ({ id: x, name: x }));

const w = happenWords;
export const happeningKinds: { kind: string; asks: Ask[] }[] = [
  { kind: 'late start', asks: [{ key: 'unit', label: w.unit, needed: true, choices: units }, { key: 'until', label: w.until, needed: true }] },
  { kind: 'failed', asks: [{ key: 'unit', label: w.unit, needed: true, choices: units }, { key: 'where', label: w.where, needed: true, choices: failures }, { key: 'lane', label: w.lane, needed: false, choices: lanes }, { key: 'until', label: w.mended, needed: false }] },
  { kind: 'serial cancelled', asks: [{ key: 'serial', label: w.serial, needed: true, choices: serials }] },
  { kind: 'serial delayed', asks: [{ key: 'serial', label: w.serial, needed: true, choices: serials }, { key: 'by_s', label: w.minutes, needed: true }] },
  { kind: 'serials swapped', asks: [{ key: 'serial', label: w.serial, needed: true, choices: serials }, { key: 'other', label: w.other, needed: true, choices: serials }] },
  { kind: 'reserve', asks: [{ key: 'serial', label: w.serial, needed: true, choices: serials }, { key: 'unit', label: w.unit, needed: true, choices: inSerial }, { key: 'reserve', label: w.reserve, needed: true, choices: units }] },
  { kind: 'lane closed', asks: [{ key: 'lane', label: w.lane, needed: true, choices: lanes }, { key: 'from', label: w.from, needed: false }, { key: 'to', label: w.to, needed: false }] },
  { kind: 'team lost', asks: [] },
];

const moments: readonly Key[] = ['until', 'from', 'to'];

// happening reads what was typed for a kind into a happening at a moment, or
// says what is wrong at which field.
export function happening(kind: string, typed: Typed, at: string, days: readonly Day[]): { happening: Happening } | { wrong: Partial<Record<Key, string>> } {
  const wrong: Partial<Record<Key, string>> = {};
  const h: Happening = { kind, at };
  for (const ask of happeningKinds.find((k) => k.kind === kind)?.asks ?? []) {
    const text = (typed[ask.key] ?? '').trim();
    if (text === '') {
      if (ask.needed) wrong[ask.key] = happenWords.needed;
    } else if (moments.includes(ask.key)) {
      const t = readMoment(text, days, at);
      if (!t) wrong[ask.key] = words.untilWrong(text);
      else if (ask.key !== 'from' && secondsOf(t) <= secondsOf(at)) wrong[ask.key] = words.untilEarly(writeMoment(at, days));
      else Object.assign(h, { [ask.key]: t });
    } else if (ask.key === 'by_s') {
      const s = readSpan(text);
      if (s === undefined || s <= 0 || s % 60 !== 0) wrong.by_s = happenWords.minutesWrong;
      else h.by_s = s;
    } else Object.assign(h, { [ask.key]: text });
  }
  if (h.serial && h.serial === h.other) wrong.other = happenWords.twice;
  if (h.unit && h.unit === h.reserve) wrong.reserve = happenWords.twice;
  return Object.keys(wrong).length > 0 ? { wrong } : { happening: h };
}
