// What the park screen says.

import type { MarkKind } from '../core/due';
import type { Move } from '../core/types';

const plural = (n: number, one: string, many: string) => `${n} ${n === 1 ? one : many}`;

// Names as they are on this sheet.
export interface Names { unit: (id: string) => string; place: (id: string) => string; stretch: (id: string) => string; serial: (id: string) => string; driver: (id: string) => string }

const sentences: Record<string, (who: string, from: string, to: string, m: Move, n: Names) => string> = {
  'arrive': (u, _f, t) => `${u} arrives, into ${t}`,
  'depart': (u, f) => `${u} leaves the show from ${f}`,
  'pull out': (u, f, t) => `${u} pulls out of ${f} to ${t}`,
  'return': (u, _f, t, m) => `${u} ${m.reverse ? 'reverses' : 'goes'} into ${t}`,
  'column out': (_u, f, _t, m, n) => `${n.serial(m.serial ?? '')}: the column leaves ${f} for the arena`,
  'column home': (_u, _f, t, m, n) => `${n.serial(m.serial ?? '')}: the column comes home to ${t}`,
  'to duty': (u, f) => `${u} leaves ${f} for a duty`,
  'from duty': (u, _f, t) => `${u} comes back from a duty into ${t}`,
  'aside': (u, f, t) => `${u} moves aside from ${f} to ${t}`,
  'put back': (u, _f, t) => `${u} is put back into ${t}`,
  'close up': (u, _f, t) => `${u} closes up in ${t}`,
  'across': (u, f, t) => `${u} goes from ${f} to ${t}`,
};

export const words = {
  title: 'The park',
  drawing: 'The park from above. Arrow keys move the sheet, plus and minus make it larger or smaller. Tab goes from vehicle to vehicle.',
  scheme: 'Side by side from their mouths: only lengths are to scale.', map: 'As a map', sideBySide: 'Side by side',
  bars: (lanes: string) => `bars ${lanes}`,
  closed: (until: string, clear: boolean) => `closed until ${until}${clear ? '' : ', not clear yet'}`,
  gate: 'At the gate, without a lane',
  fit: 'Fit', larger: 'Larger', smaller: 'Smaller',
  scale: { metric: '10 m', imperial: '30 ft' }, north: 'N',
  vehicle: (name: string, mark: number | undefined, place: string, fixed: boolean) => `${[mark ? `${name} ${mark} in the list of the day` : name, place, fixed ? 'fixed' : ''].filter(Boolean).join(', ')}. Enter picks it up.`,
  lane: (name: string, free: string, fixed: boolean) => (fixed ? `Lane ${name} fixed, ${free} free` : `Lane ${name} ${free} free`),
  free: (length: string) => `${length} free`,
  fixed: 'fixed',
  next: (serial: string, line: string, when: string) => `Next: ${serial}${line ? ` on ${line}` : ''}${when ? `, formed up ${when}` : ''}`,
  noNext: 'No serial after this moment.',
  moves: 'Next moves',
  noMoves: 'No move after this moment.',
  move: (m: Move, n: Names) => (sentences[m.kind] ?? ((u, f, t) => `${m.kind}: ${u} ${f} ${t}`))(
    (m.units ?? [m.unit ?? '']).map(n.unit).join(', '), n.place(m.from.id ?? ''), n.place(m.to.id ?? ''), m, n),
  now: 'now',
  after: (what: string) => `after ${what}`,
  afterMove: (number: number) => `move ${number}`,
  begun: (what: string) => `${what} has begun`,
  lineEmpty: (line: string) => `${line} is empty`,
  clear: (zone: string) => `${zone} is declared clear`,
  andThen: ' and ',
  out: 'Not in the park',
  where: { arena: 'in the arena', duty: 'on duty', away: 'not there yet, or gone', gate: 'at the gate', line: 'on', lane: 'in', spot: 'at' },
  marks: 'Worth a look this day',
  noMarks: 'Nothing broken, nobody moved aside, nobody at risk of being shut in this day.',
  kinds: { fault: 'Rules broken', aside: 'Moves aside', risk: 'Risks of being shut in' } satisfies Record<MarkKind, string>,
  showing: (kind: MarkKind, n: number) => `${words.kinds[kind]} (${n})`, drawn: 'on the drawing',
  aside: (unit: string, from: string, to: string) => `${unit} moves aside from ${from} to ${to} and is put back`,
  chosen: { stays: 'Its stays', from: 'from the start', to: 'to the end', close: 'Done with it', none: 'no lane' },
  stay: (lane: string, from: string, to: string) => `${lane}: ${from} – ${to}`,
  pick: 'Pick up', drop: 'Leave it where it was', fix: 'Fix here', unfix: 'Let it move', fixLane: 'Fix all in this lane', unfixLane: 'Let all in this lane move',
  onward: 'Its later stays in the same lane, too',
  carrying: (name: string, from: string, places: boolean) => `${name} in hand, ${from}. Point at a lane, or arrow keys and Enter; Escape leaves it where it was.${places ? ' Between which neighbours it stands: point there, or Page up and Page down.' : ''}`,
  place: (n: number, ahead: string, behind: string) => `place ${n} from the mouth${ahead && behind ? `, between ${ahead} and ${behind}` : ahead ? `, behind ${ahead}` : behind ? `, in front of ${behind}` : ''}`,
  cheapest: 'where it costs least',
  asking: 'asking …',
  fits: 'fits', not: 'does not fit', breaks: 'breaks a rule', notShort: 'not',
  same: 'costs nothing more', more: (n: string) => `costs ${n} more`, less: (n: string) => `saves ${n}`,
  lost: (n: number) => `${plural(n, 'entry', 'entries')} lost`,
  here: 'where it stands now',
  fixedStays: 'It is fixed to its lane. Let it move first (F).',
  plan: 'Plan the rest', planning: (steps: string, cost: string, bound: string) => `Planning: ${steps} steps, ${cost ? `cost so far ${cost}` : 'no workable plan yet'}${bound ? `, at least ${bound}` : ''}`,
  stop: 'Stop, keep the best so far',
  play: 'Play', pause: 'Pause', speed: 'Speed', times: (n: number) => `${n} times`,
  back: 'Move before', forward: 'Next move',
  time: 'Time of the show. Left and right go from move to move, space plays.',
  empty: 'There is nothing to see yet. Vehicles and lanes come first: bring in a workbook or write them into the register. Then the order of events.', toRegister: 'To the register', toEvents: 'To the order of events',
  noPlan: 'There is no plan yet: everybody is at the gate. Put vehicles into lanes, or let the rest be planned.',
  caution: 'Reversing only with a banksman. Local rules and licensed practice come first.',
};
