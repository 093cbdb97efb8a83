// Where in the program we are, and going elsewhere.

import { parse, screens, type Route, type ScreenName } from './where';

export { screens, type ScreenName };

const start = location.pathname.match(/^\/join\/([^/]+)$/);

class Router {
  route = $state.raw<Route>(start ? { at: 'join', code: decodeURIComponent(start[1]) } : parse(location.hash));
  constructor() {
    addEventListener('hashchange', () => { this.route = parse(location.hash); });
  }
  go(hash: string) {
    if (location.pathname.startsWith('/join/')) location.assign('/' + hash);
    else location.hash = hash;
  }
}

export const router = new Router();
