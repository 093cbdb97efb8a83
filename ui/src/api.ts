// The only place that asks the server. Every function throws a TroubleError
// when the answer is an error, or when there is no answer.

import type {
  Account, AuditLine, Clash, Comparison, CopyLine, DraftInfo, Happening, Held, IssueLine, Job, JobAsk, JoinLink, LogLine, Preview, Problem, Role,
  Session, Show, ShowLine, Step, Table, Trouble,
} from './core/types';

export class TroubleError extends Error {
  constructor(readonly trouble: Trouble) {
    super(trouble.detail || trouble.title);
  }
}

// noAnswer is the trouble of a server that is not reached.
export const noAnswer = () => new TroubleError({ status: 0, code: 'no answer', title: 'No answer', detail: '' });

type Ask = { method?: string; body?: unknown; file?: Blob; name?: string; version?: number; signal?: AbortSignal };

async function ask<T>(path: string, { method = 'GET', body, file, name, version, signal }: Ask = {}): Promise<T> {
  const headers: Record<string, string> = { Accept: 'application/json' };
  if (body !== undefined) headers['Content-Type'] = 'application/json';
  if (file) headers['Content-Type'] = file.type || 'application/octet-stream';
  if (name) headers['X-File-Name'] = encodeURIComponent(name);
  if (version !== undefined) headers['If-Match'] = `"${version}"`;
  let answer: Response;
  try {
    answer = await fetch(path, { method, headers, body: file ?? (body === undefined ? undefined : JSON.stringify(body)), signal, credentials: 'same-origin' });
  } catch (e) {
    if (signal?.aborted) throw e;
    throw noAnswer();
  }
  const text = await answer.text();
  if (!answer.ok) throw new TroubleError(troubleOf(answer, text));
  return (text === '' ? undefined : JSON.parse(text)) as T;
}

function troubleOf(answer: Response, text: string): Trouble {
  try {
    const said = JSON.parse(text) as Partial<Trouble>;
    return { code: '', title: answer.statusText, detail: '', ...said, status: answer.status };
  } catch {
    return { status: answer.status, code: '', title: answer.statusText, detail: text.slice(0, 300) };
  }
}

const show = (id: number) => `/api/shows/${id}`;
const post = (body: unknown, version?: number, signal?: AbortSignal): Ask => ({ method: 'POST', body, version, signal });

export const session = () => ask<Session>('/api/session');
export const signIn = (name: string, password: string) => ask<Session>('/api/session', post({ name, password }));
export const signOut = () => ask<void>('/api/session', { method: 'DELETE' });
export const join = (code: string, name: string) => ask<Session>('/api/join', post({ code, name }));
export const first = (code: string, name: string, password: string) => ask<Session>('/api/first', post({ code, name, password }));
export const newPassword = (now: string, password: string) => ask<Session>('/api/session/password', { method: 'PUT', body: { now, password } });

export const shows = () => ask<ShowLine[]>('/api/shows');
export const begin = (from: 'demo' | 'empty' | { show: number }, name?: string) => ask<ShowLine>('/api/shows', post({ from, name }));
export const changeShow = (id: number, change: { name?: string; archived?: boolean }) => ask<ShowLine>(show(id), { method: 'PATCH', body: change });
export const importShow = (file: File) => ask<ShowLine>('/api/shows/import', { method: 'POST', file, name: file.name });
export const exportURL = (id: number, what: 'export.zip' | 'show.xlsx' | 'plan.json', issue?: number) => `${show(id)}/${what}${issue ? `?issue=${issue}` : ''}`;

export const table = (id: number, issue?: number) => ask<Table>(`${show(id)}/table${issue ? `?issue=${issue}` : ''}`);
export const saveShow = (id: number, version: number, what: string, s: Show) => ask<Table>(`${show(id)}/show`, { method: 'PUT', body: { what, show: s }, version });
export type Put = { unit: string; after: string; lane: string; place?: number; onward?: boolean };
export const held = (id: number, version: number, put: Put, signal?: AbortSignal) => ask<Held>(`${show(id)}/held`, post(put, version, signal));
export const place = (id: number, version: number, put: Put) => ask<Table>(`${show(id)}/place`, post(put, version));
export const fix = (id: number, version: number, what: { units?: string[]; lanes?: string[]; fixed: boolean }) => ask<Table>(`${show(id)}/fix`, post(what, version));
export const undo = (id: number, version: number) => ask<Table>(`${show(id)}/undo`, post({}, version));
export const redo = (id: number, version: number) => ask<Table>(`${show(id)}/redo`, post({}, version));
export const restore = (id: number, version: number, from: { issue?: number; copy?: number }) => ask<Table>(`${show(id)}/restore`, post(from, version));
export const history = (id: number) => ask<(Step & { saved: string })[]>(`${show(id)}/history`);
export type Edit = { show?: Show; place?: Put; fix?: { units?: string[]; lanes?: string[]; fixed: boolean } };
export const setAside = (id: number, note: string, edits: Edit[]) => ask<CopyLine>(`${show(id)}/copies`, post({ note, edits }));
export const copies = (id: number) => ask<CopyLine[]>(`${show(id)}/copies`);
export const clashes = (id: number, s: Show, signal?: AbortSignal) => ask<Clash[]>(`${show(id)}/clashes`, post({ show: s }, undefined, signal));

export const issues = (id: number) => ask<IssueLine[]>(`${show(id)}/issues`);
export const publish = (id: number, version: number, note: string) => ask<IssueLine>(`${show(id)}/issues`, post({ note }, version));
export const compare = (id: number, a: string, b: string) => ask<Comparison>(`${show(id)}/compare?a=${encodeURIComponent(a)}&b=${encodeURIComponent(b)}`);

export const preview = (id: number, file: File) => ask<Preview>(`${show(id)}/preview`, { method: 'POST', file, name: file.name });
export const take = (id: number, version: number, token: string) => ask<Table>(`${show(id)}/take`, post({ token }, version));
export const paste = (id: number, text: string, day?: number) => ask<{ show: Show; problems: Problem[] }>(`${show(id)}/paste`, post({ text, day }));

export const jobs = (id: number) => ask<Job[]>(`${show(id)}/jobs`);
export const startJob = (id: number, what: JobAsk) => ask<Job>(`${show(id)}/jobs`, post(what));
export const job = (id: string) => ask<Job>(`/api/jobs/${id}`);
export const stopJob = (id: string) => ask<Job>(`/api/jobs/${id}`, { method: 'DELETE' });
export const jobResult = <T>(id: string) => ask<T>(`/api/jobs/${id}/result`);
export const choose = (id: string, version: number, what: { set?: number; variant?: number }) => ask<Table>(`/api/jobs/${id}/choose`, post(what, version));

export const log = (id: number) => ask<LogLine[]>(`${show(id)}/log`);
export const say = (id: number, happenings: Happening[]) => ask<LogLine[]>(`${show(id)}/log`, post({ happenings }));
export const pictureURL = (id: number, at: string, dark: boolean) => `${show(id)}/picture.svg?at=${encodeURIComponent(at)}${dark ? '&dark=1' : ''}`;

export const accounts = () => ask<Account[]>('/api/accounts');
export const addAccount = (name: string, password: string, role: Role) => ask<Account>('/api/accounts', post({ name, password, role }));
export const changeAccount = (id: number, change: { name?: string; password?: string; role?: Role; blocked?: boolean }) => ask<Account>(`/api/accounts/${id}`, { method: 'PATCH', body: change });
export const joins = () => ask<JoinLink[]>('/api/joins');
export const addJoin = (role: Role, note: string, hours: number, address?: string) => ask<JoinLink>('/api/joins', post({ role, note, hours, address }));
export const endJoin = (id: number) => ask<JoinLink>(`/api/joins/${id}`, { method: 'DELETE' });
export const audit = (before?: number) => ask<AuditLine[]>(`/api/audit${before ? `?before=${before}` : ''}`);

// What the server tells by itself, until closed.
export interface Told {
  draft: DraftInfo;
  issue: { number: number };
  log: { number: number };
  job: Job;
  people: { names: string[] };
  reload: unknown;
}

export function listen(id: number, told: <K extends keyof Told>(kind: K, what: Told[K]) => void, here: (connected: boolean) => void): () => void {
  const begin = () => {
    const source = new EventSource(`${show(id)}/events`);
    source.onopen = () => here(true);
    source.onerror = () => here(false);
    for (const kind of ['draft', 'issue', 'log', 'job', 'people', 'reload'] as const) {
      source.addEventListener(kind, (e) => told(kind, JSON.parse((e as MessageEvent<string>).data)));
    }
    return source;
  };
  let source = begin();
  // A page that was left may be kept for the way back. It must not go on holding
  // one of the few connections that a browser has to a server.
  const leave = () => source.close();
  const back = (e: PageTransitionEvent) => { if (e.persisted) source = begin(); };
  addEventListener('pagehide', leave);
  addEventListener('pageshow', back);
  return () => {
    removeEventListener('pagehide', leave);
    removeEventListener('pageshow', back);
    source.close();
  };
}

