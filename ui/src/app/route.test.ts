import { describe, expect, it } from 'vitest';
import { parse } from './where';

describe('parse', () => {
  for (const [hash, route] of [
    ['', { at: 'shows' }], ['#/', { at: 'shows' }], ['#/who', { at: 'who' }], ['#/join/AB%2F1', { at: 'join', code: 'AB/1' }],
    ['#/3/events', { at: 'show', id: 3, screen: 'events' }], ['#/3', { at: 'show', id: 3, screen: 'park' }], ['#/3/nowhere', { at: 'show', id: 3, screen: 'park' }], ['#/3/register/vehicles/a%2Fb', { at: 'show', id: 3, screen: 'register', of: 'vehicles', row: 'a/b' }], ['#/3/park/unit', { at: 'show', id: 3, screen: 'park' }], ['#/-1/park', { at: 'shows' }], ['#/1.5', { at: 'shows' }],
  ] as const) it(hash || 'nothing', () => expect(parse(hash)).toEqual(route));
});
