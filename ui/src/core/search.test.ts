import { expect, test } from 'vitest';
import { matches, ranked } from './search';

test('capitals, accents and punctuation do not count', () => {
  expect(matches('Half-Track 7, Crème', 'halft 7')).toBe(false);
  expect(matches('Half-Track 7, Crème', 'half track 7')).toBe(true);
  expect(matches('Half-Track 7, Crème', 'CREME')).toBe(true);
  expect(matches('Avocet', '')).toBe(true);
});
test('short words begin a word, longer ones stand anywhere', () => {
  expect(matches('Avocet 12', 'vo')).toBe(false);
  expect(matches('Avocet 12', 'oce')).toBe(true);
  expect(matches('Avocet 12', '12 av')).toBe(true);
});
test('what begins with the query comes first', () => {
  expect(ranked(['Smew gun', 'Gun tractor', 'Plover'], (x) => x, 'gun')).toEqual(['Gun tractor', 'Smew gun']);
});
