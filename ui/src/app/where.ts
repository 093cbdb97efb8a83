// Where in the program we are: the part of the address after #.

export type ScreenName = 'park' | 'events' | 'stands' | 'register' | 'plan' | 'issues';
export const screens: ScreenName[] = ['park', 'events', 'stands', 'register', 'plan', 'issues'];

export type Route = { at: 'shows' } | { at: 'who' } | { at: 'join'; code: string } | { at: 'show'; id: number; screen: ScreenName };

export function parse(hash: string): Route {
  const parts = hash.replace(/^#\/?/, '').split('/').filter(Boolean);
  if (parts[0] === 'who') return { at: 'who' };
  if (parts[0] === 'join' && parts[1]) return { at: 'join', code: decodeURIComponent(parts[1]) };
  const id = Number(parts[0]);
  if (Number.isInteger(id) && id > 0) return { at: 'show', id, screen: screens.find((s) => s === parts[1]) ?? 'park' };
  return { at: 'shows' };
}
