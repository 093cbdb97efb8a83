// Changes in words, and where in the program they are to be seen.

import { laneOfStay, showChanges, stayChanges, type Change } from '../core/changes';
import type { Field } from '../core/register/fields';
import { lengthSays, type System } from '../core/measure';
import { written } from '../core/register/values';
import type { Show, Table } from '../core/types';
import type { Conflict } from './current.svelte';
import { words } from '../words/app';
import { fieldWords, says, tableWords } from '../words/register';

const w = words.changed;
const held: Field = { key: 'fixed', kind: 'yes', group: '' };

export interface Said { what: string; was: string; now: string }

// saidOfChange tells a change with the names of a show.
export function saidOfChange(c: Change, show: Show, system: System): Said {
  const ctx = { show, system, says };
  const unit = (id: string) => [...show.vehicles, ...(show.combinations ?? [])].find((v) => v.id === id)?.name ?? id;
  const row = c.of === 'entries' ? w.entry(unit(c.name), c.serial ?? '')
    : c.of === 'stays' ? w.stay(unit(c.name), c.after ? show.serials.find((s) => s.id === c.after)?.name || c.after : '')
    : c.of === 'lanes' ? w.lane(c.name, c.id) : c.of === 'serials' ? c.name : `${c.name || tableWords[c.of].one}`;
  const f = c.field;
  if (!f) return { what: row, was: c.was === undefined ? w.notThere : w.there, now: c.now === undefined ? w.notThere : w.there };
  const label = (c.of !== 'serials' && c.of !== 'entries' && c.of !== 'stays' ? fieldWords[c.of][f.key]?.toLowerCase() : undefined) ?? w.fields[f.key] ?? f.key;
  const value = (v: unknown): string => {
    if (c.of === 'stays' && f.key === 'lane') return v ? String(v) : w.gate;
    if (f === held) return v ? w.fixed : w.free;
    if (v === undefined || v === null || v === '') return w.notGiven;
    if (f.kind === 'length') return lengthSays(v as number, system);
    const text = written(f, v, ctx);
    return f.kind === 'minutes' ? w.minutes(text) : f.kind === 'mass' ? (system === 'metric' ? w.kilograms(text) : w.pounds(text)) : text;
  };
  return { what: w.field(row, label), was: value(c.was), now: value(c.now) };
}

// between lists what is different from one table to another, plan last.
export const between = (a: Table, b: Table): Change[] => [...showChanges(a.show, b.show), ...stayChanges(a.stays, b.stays)];

// differing lists where what is kept and our own edits are not the same.
export function differing(c: Conflict): Change[] {
  const t = c.theirs, content = c.mine.findLast((m) => m.content)?.content;
  const list = content ? showChanges(t.show, content) : [];
  for (const { put, fix } of c.mine) {
    if (put) list.push({ of: 'stays', id: put.unit, name: put.unit, after: put.after, field: laneOfStay, was: t.stays.find((s) => s.unit === put.unit && s.after === put.after)?.lane, now: put.lane });
    for (const u of fix?.units ?? []) list.push({ of: 'stays', id: u, name: u, field: held, was: [...t.show.vehicles, ...(t.show.combinations ?? [])].find((v) => v.id === u)?.home?.binding === 'fixed', now: fix!.fixed });
    for (const l of fix?.lanes ?? []) list.push({ of: 'lanes', id: l, name: l, field: held, was: !fix!.fixed, now: fix!.fixed });
  }
  return list;
}

// hashOf is the address at which a change is seen.
export function hashOf(c: Change, show: number): string {
  const row = encodeURIComponent(c.id);
  if (c.of === 'stays') return `#/${show}/park/unit/${row}`;
  if (c.of === 'serials' || c.of === 'entries') return `#/${show}/events/${c.of}/${row}`;
  return `#/${show}/register/${c.of}/${row}`;
}
