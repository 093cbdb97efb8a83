// Where in the program we are: the part of the address after #.

export type ScreenName = 'park' | 'events' | 'stands' | 'register' | 'plan' | 'issues';
export const screens: ScreenName[] = ['park', 'events', 'stands', 'register', 'plan', 'issues'];

export type Route = { at: 'shows' } | { at: 'who' } | { at: 'join'; code: string } | { at: 'show'; id: number; screen: ScreenName; of?: string; row?: string }; // of, row: what on it is looked at

export function parse(hash: string): Route {
  const parts = hash.replace(/^#\/?/, '').split('/').filter(Boolean);
  if (parts[0] === 'who') return { at: 'who' };
  if (parts[0] === 'join' && parts[1]) return { at: 'join', code: decodeURIComponent(parts[1]) };
  const id = Number(parts[0]);
  if (Number.isInteger(id) && id > 0) return { at: 'show', id, screen: screens.find((s) => s === parts[1]) ?? 'park', ...(parts[2] && parts[3] ? { of: parts[2], row: decodeURIComponent(parts[3]) } : {}) };
  return { at: 'shows' };
}
