// What was found of a vehicle, in a few words.

import type { Day, Happening } from '../core/types';
import { writeMoment } from '../core/time';
import { answerWords as words } from '../words/stands';

const kinds: Record<string, (h: Happening, when: (at: string) => string) => string> = {
  here: () => words.here,
  elsewhere: (h) => words.elsewhere(h.lane ?? '', h.place),
  'fit with limits': (h) => words.limits(!!h.no_reverse, h.max_runs ?? 0),
  'late start': (h, when) => words.late(when(h.until ?? '')),
  'do not move': (h, when) => words.doNotMove(h.until ? when(h.until) : ''),
  failed: (h) => words.failed(h.where ?? ''),
};

export function answerSays(list: readonly Happening[], days: readonly Day[]): string {
  return list.map((h) => kinds[h.kind]?.(h, (at) => writeMoment(at, days)) ?? h.kind).join(', ');
}
