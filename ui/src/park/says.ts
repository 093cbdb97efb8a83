// Figures of the park screen in words.

import { current } from '../app/current.svelte';
import * as measure from '../core/measure';
import type { Held } from '../core/types';
import { grouped } from '../plan/figures';
import { words as w } from '../words/park';

// heldSays is what is said of a lane first: what it costs counts only when
// nothing is broken.
export function heldSays(h: Held): string[] {
  if (h.fits) return [w.fits, costSays(h)];
  return [h.faults.some((f) => f.rule === 'overfull' || f.rule === 'does not fit') ? w.not : w.breaks];
}

function costSays(h: Held): string {
  const cost = h.cost === 0 ? w.same : h.cost > 0 ? w.more(grouped(h.cost)) : w.less(grouped(-h.cost));
  return h.lost > 0 ? `${w.lost(h.lost)}, ${cost}` : cost;
}

export const lengthSays = (cm: number) => measure.lengthSays(cm, current.system);

// costShort is what stands beside a lane: more than now with a plus.
export function costShort(h: Held): string {
  return h.lost > 0 ? w.lost(h.lost) : h.cost === 0 ? '±0' : (h.cost > 0 ? '+' : '') + grouped(h.cost);
}
