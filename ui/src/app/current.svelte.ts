// The show on the table: what the server has of it, and what we do to it. One
// edit at a time goes to the server; each answers with the whole table.

import * as api from '../api';
import { writeMoment } from '../core/time';
import type { System } from '../core/measure';
import type { Instant, Job, JobAsk, Session, Show, Table, Trouble } from '../core/types';
import { words as w } from '../words/app';

type Fix = { units?: string[]; lanes?: string[]; fixed: boolean };

// An edit that the server has not acknowledged yet: of the show, or of the plan.
export interface Pending { show: number; version: number; what: string; content?: Show; put?: api.Put; fix?: Fix }
const pendingKey = (show: number) => `sallyport-unsaved-${show}`;
const keptOf = (show: number) => JSON.parse(localStorage.getItem(pendingKey(show)) ?? '[]') as Pending[];

// Conflict: others have changed the version that our edits were made from.
export interface Conflict { trouble: Trouble; mine: Pending[]; theirs: Table }

function send(p: Pending, version: number): Promise<Table> {
  if (p.content) return api.saveShow(p.show, version, p.what, p.content);
  if (p.put) return api.place(p.show, version, p.put);
  return api.fix(p.show, version, p.fix!);
}

class Current {
  id = $state(0);
  table = $state.raw<Table | null>(null);
  session = $state.raw<Session | null>(null);
  jobs = $state.raw<Job[]>([]);
  logged = $state(0); // goes up when something was said
  people = $state.raw<string[]>([]);
  connected = $state(true);
  saving = $state(false);
  said = $state.raw<{ says: string; hash?: string } | null>(null); // quiet line: what others did, and where it is seen
  trouble = $state(''); // of the last edit
  unsaved = $state.raw<Pending[] | null>(null); // in the order in which they were made; null: none
  conflict = $state.raw<Conflict | null>(null);
  at = $state<Instant>(''); // the moment looked at; shared by the screens
  system = $state<System>((localStorage.getItem('sallyport-measure') as System) || 'metric');
  #stop: (() => void) | null = null;
  #queue: Promise<unknown> = Promise.resolve();
  #resending: Promise<void> = Promise.resolve();
  #retry = 0;

  get planner(): boolean {
    return this.session?.role === 'planner' && !this.table?.issue && !this.table?.archived;
  }
  // the moment of the day from which the plan goes on; '': it is of the whole show
  get goesOn(): string {
    const at = (this.table?.plan?.from as { at?: Instant } | undefined)?.at;
    return at ? writeMoment(at, this.table!.complete.days) : '';
  }
  get marshal(): boolean {
    return this.session?.role === 'planner' || this.session?.role === 'marshal';
  }

  setSystem(s: System) {
    this.system = s;
    localStorage.setItem('sallyport-measure', s);
  }

  // open puts a show on the table and listens to what others do to it.
  async open(id: number): Promise<void> {
    if (this.id === id && this.table) return;
    this.close();
    this.id = id;
    await this.load();
    const jobs = this.marshal ? await api.jobs(id) : [];
    if (this.id !== id || this.#stop) return; // another was opened meanwhile
    this.jobs = jobs;
    this.#stop = api.listen(id, (kind, what) => this.#told(kind, what), (yes) => this.#here(yes));
    await this.resend();
  }

  close() {
    this.#stop?.();
    this.#stop = null;
    this.id = 0;
    this.table = null;
    this.jobs = [];
    this.people = [];
    this.said = this.unsaved = this.conflict = null;
    this.trouble = this.at = '';
    clearTimeout(this.#retry);
  }

  // load fetches the table; one that comes when its show is no longer open is
  // left out.
  async load(): Promise<void> {
    const id = this.id, t = await api.table(id);
    if (this.id === id) this.table = t;
  }

  // show puts a table that the server has answered with on the screen.
  show(t: Table) {
    if (t.id !== this.id || (this.table && t.version < this.table.version)) return;
    this.table = t;
  }

  // edit sends one change after the other; change is given the version that
  // is then the newest.
  edit(change: (version: number) => Promise<Table>): Promise<void> {
    const work = this.#queue.then(async () => {
      this.saving = true;
      this.trouble = '';
      try {
        this.show(await change(this.table!.version));
      } catch (e) {
        if (e instanceof api.TroubleError && e.trouble.status === 412) await this.load();
        throw e;
      } finally {
        this.saving = false;
      }
    });
    this.#queue = work.catch(() => undefined);
    return work;
  }

  // deed sends one edit. Without an answer it is kept in the browser and sent
  // again; when somebody else was quicker, both are shown. The error is thrown
  // on in both cases: the edit is not acknowledged.
  #deed(make: (version: number) => Pending): Promise<void> {
    return this.edit(async (version) => {
      const mine = make(version);
      try {
        if (this.unsaved) throw api.noAnswer();
        return await send(mine, version);
      } catch (e) {
        if (!(e instanceof api.TroubleError)) throw e;
        if (e.trouble.status === 0) this.#keep(mine);
        const kept = e.trouble.status === 412 && (await this.#second(e.trouble, [mine]));
        if (kept) return kept;
        throw e;
      }
    });
  }

  // saveShow changes a copy of the show and sends it.
  saveShow(what: string, change: (s: Show) => void): Promise<void> {
    return this.#deed((version) => {
      const content = structuredClone(this.table!.show);
      change(content);
      return { show: this.id, version, what, content };
    });
  }
  place(put: api.Put): Promise<void> {
    return this.#deed((version) => ({ show: this.id, version, what: `${put.unit}: ${put.lane}`, put }));
  }
  fix(fix: Fix): Promise<void> {
    return this.#deed((version) => ({ show: this.id, version, what: [...(fix.units ?? []), ...(fix.lanes ?? [])].join(', '), fix }));
  }
  undo(): Promise<void> {
    return this.edit((v) => api.undo(this.id, v));
  }
  redo(): Promise<void> {
    return this.edit((v) => api.redo(this.id, v));
  }
  restore(from: { issue?: number; copy?: number }): Promise<void> {
    return this.edit((v) => api.restore(this.id, v, from));
  }

  async startJob(ask: JobAsk): Promise<Job> {
    const job = await api.startJob(this.id, ask);
    this.#job(job);
    return job;
  }
  async stopJob(id: string): Promise<void> {
    this.#job(await api.stopJob(id));
  }

  // second returns the table when the first of our edits is kept in it already:
  // only the answer to it was lost. Otherwise it shows that others were quicker,
  // and our edits stay in the browser until that is settled.
  async #second(trouble: Trouble, mine: Pending[]): Promise<Table | undefined> {
    const [theirs, { differing }] = await Promise.all([api.table(this.id), import('./changed')]);
    if (differing({ trouble, mine: mine.slice(0, 1), theirs }).every((c) => c.was === c.now)) return theirs;
    this.#remember(mine);
    this.unsaved = null;
    this.conflict = { trouble, mine, theirs };
    return undefined;
  }

  // settle ends a conflict: with our edits on top of theirs, or with ours put
  // aside as a saved copy.
  async settle(ours: boolean): Promise<void> {
    const c = this.conflict;
    this.conflict = null;
    if (!c) return;
    this.#remember([]);
    if (!ours) return this.#aside(c);
    for (let i = 0; i < c.mine.length; i++) {
      try {
        await this.edit((v) => send(c.mine[i]!, v));
      } catch (e) {
        if (e instanceof api.TroubleError && e.trouble.status === 0) c.mine.slice(i).forEach((p) => this.#keep(p));
        if (e instanceof api.TroubleError && e.trouble.status === 412 && (await this.#second(e.trouble, c.mine.slice(i)))) continue;
        throw e;
      }
    }
  }

  async #aside(c: Conflict): Promise<void> {
    const what = c.mine.map((m) => m.what).join('; '), author = c.trouble.theirs?.author ?? c.theirs.author;
    try {
      const kept = await api.setAside(this.id, w.conflict.note(what, author), c.mine.map((m) => ({ show: m.content, place: m.put, fix: m.fix })));
      this.said = { says: w.conflict.aside(kept.number), hash: `#/${this.id}/issues` };
    } catch (e) {
      if (!(e instanceof api.TroubleError)) throw e;
      if (e.trouble.status === 0) { this.conflict = c; throw e; } // nothing is decided without an answer
      this.trouble = w.conflict.asideNot(what, e.trouble.detail);
    }
    await this.load();
  }

  // resend sends what the server has not acknowledged, the oldest first. It may
  // be asked for while it is at work.
  resend(): Promise<void> {
    return (this.#resending = this.#resending.catch(() => undefined).then(() => this.#resendAll()));
  }
  async #resendAll(): Promise<void> {
    const id = this.id;
    let list = keptOf(id);
    if (!list.length || !this.planner || this.conflict) return;
    this.unsaved = list;
    let version = list[0]!.version;
    while (list.length) {
      try {
        const t = await this.#sendOrFind(list, version);
        if (!t) return;
        version = t.version;
        this.#remember(keptOf(id).slice(1), id);
        if (!this.unsaved) this.show(t);
      } catch (e) {
        if (!(e instanceof api.TroubleError)) throw e;
        if (this.id !== id) return; // it is sent when the show is opened again
        if (e.trouble.status === 0) return this.#later();
        this.trouble = `${list[0]!.what}: ${e.trouble.detail}`;
        this.#remember(list.slice(1), id);
        await this.load();
      }
      list = keptOf(id);
    }
  }

  // sendOrFind sends the first edit of a list, or finds it kept already.
  // undefined: others were quicker, or the show was left.
  async #sendOrFind(list: Pending[], version: number): Promise<Table | undefined> {
    try {
      return await send(list[0]!, version);
    } catch (e) {
      if (!(e instanceof api.TroubleError) || e.trouble.status !== 412) throw e;
      return this.id === list[0]!.show ? this.#second(e.trouble, list) : undefined;
    }
  }

  // keep keeps an edit and shows the show as it would be; what follows from
  // the edit is worked out when the server is back.
  #keep(p: Pending) {
    this.#remember([...(this.unsaved ?? []), p]);
    this.#later();
    if (p.content) this.table = { ...this.table!, show: p.content };
  }
  #remember(list: Pending[], id = this.id) {
    if (id === this.id) this.unsaved = list.length ? list : null;
    if (list.length) localStorage.setItem(pendingKey(id), JSON.stringify(list));
    else localStorage.removeItem(pendingKey(id));
  }
  #later() {
    clearTimeout(this.#retry);
    this.#retry = window.setTimeout(() => void this.resend(), 2000);
  }

  #here(yes: boolean) {
    const back = yes && !this.connected;
    this.connected = yes;
    if (back) void this.resend().then(() => (this.unsaved || this.conflict ? undefined : this.load())).catch(() => undefined);
  }

  // others tells what somebody else did, with the way to the first place where
  // it is seen.
  async #others(d: api.Told['draft']): Promise<void> {
    const before = this.table, id = this.id;
    await this.load();
    const { between, hashOf, saidOfChange } = await import('./changed');
    if (this.id !== id || !before || !this.table) return;
    const [first] = between(before, this.table);
    const seen = first && saidOfChange(first, this.table.complete, this.system), author = d.author === this.session?.name ? '' : d.author; // a job of one's own
    this.said = { says: w.changed.kept(author, d.what), ...(first && seen ? { hash: hashOf(first, id), says: `${w.changed.kept(author, d.what)} (${w.changed.see(seen.what, seen.was, seen.now)})` } : {}) };
  }

  #job(job: Job) {
    this.jobs = [job, ...this.jobs.filter((j) => j.id !== job.id)].sort((a, b) => b.begun.localeCompare(a.begun));
  }

  #told<K extends keyof api.Told>(kind: K, what: api.Told[K]) {
    switch (kind) {
      case 'draft': {
        const d = what as api.Told['draft'];
        if (this.saving || this.unsaved || (this.table && d.version <= this.table.version)) return;
        void this.#others(d).catch(() => undefined);
        return;
      }
      case 'issue':
      case 'reload':
        void this.load().catch(() => undefined);
        return;
      case 'log':
        this.logged = (what as api.Told['log']).number;
        return;
      case 'job':
        this.#job(what as Job);
        return;
      case 'people':
        this.people = (what as api.Told['people']).names;
    }
  }
}

export const current = new Current();
