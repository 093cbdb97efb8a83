// @vitest-environment happy-dom
import { afterEach, beforeEach, describe, expect, it, vi } from 'vitest';
import type { Show, Table } from '../core/types';

const showOf = (name: string): Show => ({
  format: 'sallyport-show/1', name, days: [{ name: 'Friday' }], park: { lanes: [{ id: 'A1', length_cm: 3000 }, { id: 'A2', length_cm: 3000 }] },
  vehicles: [{ id: 'dunlin', name: 'Dunlin', length_cm: 500 }], serials: [{ id: '1', name: 'Column', arena_in: 'D1 10:00', entries: [{ id: '1a', unit: 'dunlin' }] }],
});
const tableOf = (id: number, version = 1, change: (s: Show) => void = () => undefined): Table => {
  const show = showOf(`Show ${id}`);
  change(show);
  return {
    id, name: show.name, version, author: 'Orla', saved: '', issued: 0, show, complete: show, plan: { format: 'sallyport-plan/1', show: show.name, start: [{ lane: 'A1', units: ['dunlin'] }], moves: [] },
    problems: [], notes: [], workable: true, best_possible: false, bound: 0, verdict: ['Workable'], faults: [], order_alone: [], not_checked: [], assumed: [],
    stays: [{ id: 'dunlin/', unit: 'dunlin', after: '', lane: 'A1', from: '', to: '' }], film: { from: 'D1 06:00', to: 'D1 12:00', start: { dunlin: { in: 'lane', id: 'A1', from_cm: 0 } }, steps: [] },
  };
};

// A server of two shows: answers by method and path.
let answers: Record<string, (body: unknown) => { status?: number; body: unknown }>;
let asked: string[];
const streams: { url: string; told: Record<string, (e: { data: string }) => void>; closed: boolean }[] = [];
const errors: unknown[] = [];

async function settled(yes: () => unknown) {
  for (let i = 0; i < 4000 && !yes(); i++) { await new Promise((r) => setTimeout(r, 5)); await svelte.tick(); }
  expect(yes()).toBeTruthy();
}
const text = () => document.body.textContent ?? '';
const go = (hash: string) => { location.hash = hash; dispatchEvent(new Event('hashchange')); };

vi.setConfig({ testTimeout: 30_000 }); // screens are compiled as they are opened

let svelte: typeof import('svelte');
let app: Record<string, unknown>;
async function open(hash: string) {
  vi.resetModules();
  location.hash = hash;
  svelte = await import('svelte');
  const [{ default: App }, { current }] = [await import('./App.svelte'), await import('./current.svelte')];
  app = svelte.mount(App, { target: document.body });
  return current;
}

beforeEach(() => {
  asked = [];
  errors.length = streams.length = 0;
  localStorage.clear();
  answers = {
    'GET /api/session': () => ({ body: { name: 'Fern', role: 'planner', solo: true, signed_in: true, account: false, addresses: [], version: '1' } }),
    'GET /api/shows': () => ({ body: [] }), 'GET /api/shows/1/jobs': () => ({ body: [] }), 'GET /api/shows/2/jobs': () => ({ body: [] }),
    'GET /api/shows/1/table': () => ({ body: tableOf(1) }), 'GET /api/shows/2/table': () => ({ body: tableOf(2) }),
  };
  vi.stubGlobal('fetch', async (path: string, ask: { method: string; body?: string }) => {
    const key = `${ask.method} ${path}`, answer = answers[key];
    asked.push(key);
    if (!answer) throw new Error(`nobody answers ${key}`);
    const { status = 200, body } = answer(ask.body ? JSON.parse(ask.body) : undefined);
    return { ok: status < 300, status, statusText: '', text: async () => JSON.stringify(body) };
  });
  vi.stubGlobal('EventSource', class {
    told: Record<string, (e: { data: string }) => void> = {};
    closed = false;
    constructor(readonly url: string) { streams.push(this); }
    addEventListener(kind: string, f: (e: { data: string }) => void) { this.told[kind] = f; }
    close() { this.closed = true; }
  });
  addEventListener('error', (e) => errors.push((e as ErrorEvent).error ?? e));
});
afterEach(async () => {
  await svelte.unmount(app);
  document.body.innerHTML = '';
  vi.unstubAllGlobals();
});

describe('going elsewhere', () => {
  it('leaves nothing of a show behind on other screens', async () => {
    await open('#/1/park');
    await settled(() => document.querySelector('[data-unit=dunlin]'));
    go('#/2/park');
    await settled(() => text().includes('Show 2') && document.querySelector('[data-unit=dunlin]'));
    expect(text()).not.toContain('Show 1');
    go('#/');
    await settled(() => !document.querySelector('[data-unit]') && asked.includes('GET /api/shows'));
    go('#/1/park');
    await settled(() => text().includes('Show 1') && document.querySelector('[data-unit=dunlin]'));
    expect(streams.map((s) => s.closed)).toEqual([true, true, false]);
    expect(errors).toEqual([]);
  });

  it('a table that comes late is not shown', async () => {
    const current = await open('#/');
    await settled(() => asked.includes('GET /api/shows'));
    const first = current.open(1), second = current.open(2);
    await Promise.all([first, second]);
    expect([current.id, current.table?.id, streams.filter((s) => !s.closed).length]).toEqual([2, 2, 1]);
  });
});

describe('two who edit at once', () => {
  const conflict = { status: 412, body: { status: 412, code: 'conflict', title: '', detail: 'another version', theirs: { version: 2, author: 'Orla', saved: '', what: 'Column: arena in 10:20' } } };
  const theirs = () => tableOf(1, 2, (s) => { s.serials[0]!.arena_in = 'D1 10:20'; });
  async function second() {
    const current = await open('#/1/park');
    await settled(() => current.table);
    answers['PUT /api/shows/1/show'] = () => conflict;
    answers['GET /api/shows/1/table'] = () => ({ body: theirs() });
    await current.saveShow('Dunlin: length', (s) => { s.vehicles[0]!.length_cm = 620; }).catch(() => undefined);
    await settled(() => document.querySelector('dialog table'));
    return current;
  }
  const rows = () => [...document.querySelectorAll('dialog tbody tr')].map((r) => [...r.children].map((c) => c.textContent));

  it('sees both versions side by side', async () => {
    await second();
    expect(rows()).toEqual([['Column: arena in', 'Friday 10:20', 'Friday 10:00'], ['Dunlin: length as parked', '5.00 m', '6.20 m']]);
    expect(JSON.parse(localStorage.getItem('sallyport-unsaved-1')!)).toHaveLength(1);
  });

  it('who leaves what is kept has his own as a saved copy', async () => {
    const current = await second();
    let aside: unknown;
    answers['POST /api/shows/1/copies'] = (body) => { aside = body; return { status: 201, body: { number: 3 } }; };
    await current.settle(false);
    expect(aside).toMatchObject({ edits: [{ show: { vehicles: [{ length_cm: 620 }] } }] });
    expect([current.table?.version, current.conflict, current.said?.hash, localStorage.getItem('sallyport-unsaved-1')]).toEqual([2, null, '#/1/issues', null]);
    expect(current.said?.says).toContain('copy 3');
  });

  it('who takes his own sends it for the version that is kept; a third is shown anew', async () => {
    const current = await second();
    await current.settle(true).catch(() => undefined);
    expect(current.conflict?.mine).toHaveLength(1);
    answers['PUT /api/shows/1/show'] = (body) => ({ body: tableOf(1, 3, (s) => Object.assign(s, (body as { show: Show }).show)) });
    await current.settle(true);
    expect([current.table?.version, current.table?.show.vehicles[0]!.length_cm, localStorage.getItem('sallyport-unsaved-1')]).toEqual([3, 620, null]);
  });

  it('an edit without an answer is kept for its own show', async () => {
    const current = await open('#/1/park');
    await settled(() => current.table);
    delete answers['PUT /api/shows/1/show'];
    await current.saveShow('Dunlin: length', (s) => { s.vehicles[0]!.length_cm = 620; }).catch(() => undefined);
    expect([current.unsaved?.length, current.table?.show.vehicles[0]!.length_cm]).toEqual([1, 620]);
    go('#/2/park');
    await settled(() => current.table?.id === 2);
    expect([current.unsaved, localStorage.getItem('sallyport-unsaved-1') !== null]).toEqual([null, true]);
    answers['PUT /api/shows/1/show'] = () => ({ body: tableOf(1, 2) });
    go('#/1/park');
    await settled(() => asked.includes('PUT /api/shows/1/show') && current.table?.version === 2);
    await settled(() => localStorage.getItem('sallyport-unsaved-1') === null);
  });
});

describe('what others do', () => {
  it('is told with the way to where it is seen', async () => {
    const current = await open('#/1/park');
    await settled(() => streams[0]?.told.draft);
    answers['GET /api/shows/1/table'] = () => ({ body: { ...tableOf(1, 2), stays: [{ id: 'dunlin/', unit: 'dunlin', after: '', lane: 'A2', from: '', to: '' }] } });
    streams[0]!.told.draft!({ data: JSON.stringify({ version: 2, author: 'Orla', what: 'Dunlin to A2' }) });
    await settled(() => current.said);
    expect(current.said).toEqual({ says: 'Orla changed this: Dunlin to A2 (Dunlin: lane A1 → A2)', hash: '#/1/park/unit/dunlin' });
  });
});
