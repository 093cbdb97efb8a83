// Figures of the plan in words and shares.

import type { Amount, Cost, CostItem, CostTerm, Plan, Show, Table } from '../core/types';
import { secondsAt } from '../core/time';
import { words } from '../words/plan';
import type { Reason, Row } from './results';

// grouped writes a whole number with thin spaces between thousands: 12 480.
export function grouped(n: number): string {
  const digits = String(Math.abs(Math.trunc(n))).replace(/\B(?=(\d{3})+$)/g, '\u202f');
  return n < 0 ? `−${digits}` : digits;
}

// termsPaid lists the terms that cost or count something, in their order, with
// the share of each in the dearest, in 1/1000.
export function termsPaid(cost: Cost): { term: CostTerm; share: number }[] {
  const paid = cost.terms.filter((t) => t.amount !== 0 || t.count !== 0);
  const most = Math.max(1, ...paid.map((t) => t.amount));
  return paid.map((term) => ({ term, share: Math.round((Math.max(0, term.amount) * 1000) / most) }));
}

// dearest lists the items of a term, dearest first, those of equal cost in
// their order.
export function dearest(term: CostTerm, most: number): { items: CostItem[]; more: number } {
  const items = (term.items ?? []).map((item, i) => ({ item, i }));
  items.sort((a, b) => b.item.amount - a.item.amount || a.i - b.i);
  return { items: items.slice(0, most).map((x) => x.item), more: Math.max(0, items.length - most) };
}

// boundSays says how far a plan can be from the best possible.
export function boundSays(workable: boolean, best: boolean, total: Amount, bound: Amount): string {
  if (!workable) return words.bound.notWorkable;
  if (best) return words.bound.best;
  if (bound <= 0 || bound > total) return words.bound.unknown;
  if (bound === total) return words.bound.best;
  return words.bound.gap(grouped(bound), grouped(total - bound), Math.floor(((total - bound) * 100) / total));
}

// byTerm gathers reasons under their terms, terms in the order in which they
// first come.
export function byTerm(reasons: Reason[]): { term: string; reasons: Reason[] }[] {
  const groups: { term: string; reasons: Reason[] }[] = [];
  for (const r of reasons) {
    const group = groups.find((g) => g.term === r.term);
    if (group) group.reasons.push(r);
    else groups.push({ term: r.term, reasons: [r] });
  }
  return groups;
}

// Line is one figure of plans side by side.
export interface Line {
  head: string;
  cells: { text: string; least: boolean }[];
}

const figures: { head: string; of: (r: Row) => number; show?: (r: Row) => string }[] = [
  { head: words.variants.heads.lost, of: (r) => r.lost },
  { head: words.variants.heads.aside, of: (r) => r.moves_aside },
  { head: words.variants.heads.resets, of: (r) => r.reset_moves },
  { head: words.variants.heads.changes, of: (r) => r.lane_changes },
  { head: words.variants.heads.held, of: (r) => r.held_back_min },
  { head: words.variants.heads.risk, of: (r) => r.shut_in_risk },
  { head: words.variants.heads.total, of: (r) => r.total },
];

// sideBySide sets plans beside one another, a line for each figure. The least
// of a line is marked where the plans differ; plans that are not workable are
// not marked.
export function sideBySide(rows: Row[]): Line[] {
  const workable = { head: words.variants.heads.workable, cells: rows.map((r) => ({ text: r.workable ? words.variants.yes : words.variants.no(r.faults), least: false })) };
  const lines = figures.map((f): Line => {
    const of = rows.filter((r) => r.workable).map(f.of);
    const least = Math.min(...of);
    const differ = of.length > 1 && Math.max(...of) > least;
    return { head: f.head, cells: rows.map((r) => ({ text: grouped(f.of(r)), least: differ && r.workable && f.of(r) === least })) };
  });
  const bound = { head: words.variants.heads.bound, cells: rows.map((r) => ({ text: boundText(r), least: false })) };
  return [workable, ...lines.filter((l) => l.head !== words.variants.heads.lost || rows.some((r) => r.lost > 0)), bound];
}

function boundText(r: Row): string {
  if (!r.workable) return '–';
  return r.bound === 0 && r.total > 0 ? words.variants.notKnown : grouped(r.bound);
}

// presentRow is the row of the present plan beside others; null: there is
// none. It is counted as the server counts the rows of variants.
export function presentRow(table: Table): Row | null {
  const { cost, plan } = table;
  if (!cost || !plan) return null;
  const term = (name: string) => cost.terms.find((t) => t.name === name);
  return {
    variant: words.variants.present,
    workable: table.workable,
    faults: table.faults.length,
    lost: cost.lost,
    moves_aside: plan.moves.filter((m) => m.kind === 'aside').length,
    reset_moves: term('resets')?.count ?? 0,
    lane_changes: term('changes of lane')?.count ?? 0,
    held_back_min: heldMinutes(table.complete, plan),
    shut_in_risk: term('shut-in risk')?.amount ?? 0,
    total: cost.total,
    bound: table.bound,
  };
}

// heldMinutes is how long vehicles wait on a line, held back or early; parts of
// a minute count whole.
export function heldMinutes(complete: Show, plan: Plan): number {
  const serials = new Map(complete.serials.map((s) => [s.id, s]));
  let wait = 0;
  for (const m of plan.moves) {
    const s = m.serial === undefined ? undefined : serials.get(m.serial);
    const nominal = secondsAt(m.nominal);
    if (!s) continue;
    const back = (secondsAt(s.arena_out) ?? 0) + (s.travel_s ?? 0);
    if (m.kind === 'return' && nominal !== null && nominal > back) wait += nominal - back;
    if (m.kind === 'pull out') wait += Math.max(0, (secondsAt(s.form_from) ?? 0) - (nominal ?? secondsAt(m.start) ?? 0));
  }
  return Math.ceil(wait / 60);
}
