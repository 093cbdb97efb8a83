import { describe, expect, it } from 'vitest';
import type { Cost, Table } from '../core/types';
import { boundSays, byTerm, dearest, grouped, heldMinutes, presentRow, sideBySide, termsPaid } from './figures';
import type { Reason, Row } from './results';

const row = (r: Partial<Row>): Row => ({
  variant: '',
  workable: true,
  faults: 0,
  lost: 0,
  moves_aside: 0,
  reset_moves: 0,
  lane_changes: 0,
  held_back_min: 0,
  shut_in_risk: 0,
  total: 0,
  bound: 0,
  ...r,
});

const cost: Cost = {
  lost: 0,
  total: 900,
  terms: [
    { name: 'moves aside and back', amount: 300, count: 2, items: [{ amount: 100, units: ['a'], why: 'one' }, { amount: 200, units: ['b'], why: 'two' }] },
    { name: 'resets', amount: 0, count: 0 },
    { name: 'shut-in risk', amount: 600, count: 5 },
  ],
};

describe('figures', () => {
  it('have narrow spaces between thousands', () => {
    expect([0, 999, 1000, 51538, 1234567, -8760].map(grouped)).toEqual(['0', '999', '1\u202f000', '51\u202f538', '1\u202f234\u202f567', '−8\u202f760']);
  });
});

describe('what it costs', () => {
  it('leaves out what costs nothing, and gives shares of the dearest', () => {
    expect(termsPaid(cost).map((t) => [t.term.name, t.share])).toEqual([
      ['moves aside and back', 500],
      ['shut-in risk', 1000],
    ]);
  });
  it('names the dearest reasons first and counts the rest', () => {
    expect(dearest(cost.terms[0]!, 1)).toEqual({ items: [{ amount: 200, units: ['b'], why: 'two' }], more: 1 });
    expect(dearest(cost.terms[1]!, 3)).toEqual({ items: [], more: 0 });
  });
  it('says best possible only when cost and bound meet', () => {
    expect(boundSays(true, false, 900, 900)).toContain('best possible');
    expect(boundSays(true, true, 900, 0)).toContain('best possible'); // as the server has it
    expect(boundSays(true, false, 900, 600)).toContain('300 (33 %)');
    for (const bound of [0, 901]) expect(boundSays(true, false, 900, bound)).toContain('not known');
    expect(boundSays(false, false, 900, 900)).toContain('says nothing');
  });
});

describe('plans side by side', () => {
  it('mark what is least where plans differ', () => {
    const lines = sideBySide([row({ moves_aside: 7, total: 900, bound: 500 }), row({ moves_aside: 0, total: 1000, bound: 500 })]);
    const line = (head: string) => lines.find((l) => l.head === head)!.cells;
    expect(line('Moves aside')).toEqual([
      { text: '7', least: false },
      { text: '0', least: true },
    ]);
    expect(line('Cost together').map((c) => c.least)).toEqual([true, false]);
    expect(line('Changes of lane').map((c) => c.least)).toEqual([false, false]);
    expect(lines.some((l) => l.head.startsWith('Lost'))).toBe(false);
  });
  it('do not praise a plan that is not workable', () => {
    const lines = sideBySide([row({ workable: false, faults: 1, total: 1, bound: 1 }), row({ total: 5 }), row({ total: 6 })]);
    expect(lines[0]!.cells[0]!.text).toBe('no, 1 fault');
    expect(lines.find((l) => l.head === 'Cost together')!.cells.map((c) => c.least)).toEqual([false, true, false]);
    expect(lines.at(-1)!.cells.map((c) => c.text)).toEqual(['–', 'not known', 'not known']);
  });
  it('count the present plan as the server counts others', () => {
    const move = (kind: string, more: object) => ({ id: kind, kind, from: { kind: 'lane' }, to: { kind: 'line' }, start: 'D1 09:00', takes_s: 60, ...more });
    const table = {
      workable: true,
      faults: [],
      bound: 0,
      cost,
      complete: { serials: [{ id: 's', form_from: 'D1 09:40', arena_out: 'D1 11:00', travel_s: 300, entries: [] }] },
      plan: {
        moves: [
          move('aside', {}),
          move('pull out', { serial: 's', start: 'D1 09:41', nominal: 'D1 09:30' }), // ten minutes early
          move('pull out', { serial: 's', start: 'D1 09:45' }),
          move('return', { serial: 's', start: 'D1 11:06', nominal: 'D1 11:06:30' }), // held 90 s
        ],
      },
    } as unknown as Table;
    expect(heldMinutes(table.complete, table.plan!)).toBe(12); // 11.5 minutes, parts count whole
    expect(presentRow(table)).toMatchObject({ moves_aside: 1, held_back_min: 12, shut_in_risk: 600, total: 900 });
    expect(presentRow({ ...table, plan: undefined })).toBeNull();
  });
});

describe('reasons', () => {
  it('are gathered under their terms', () => {
    const r = (term: string, amount: number) => ({ term, item: { amount, units: [], why: '' }, forced: [], tried: 0 }) as Reason;
    expect(byTerm([r('resets', 3), r('held back', 2), r('resets', 1)]).map((g) => [g.term, g.reasons.map((x) => x.item.amount)])).toEqual([
      ['resets', [3, 1]],
      ['held back', [2]],
    ]);
  });
});
