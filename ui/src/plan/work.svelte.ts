// Jobs of the plan screen and what they gave. It lives as long as the page, so
// that results are still there when somebody comes back to the screen; after
// the page was loaded anew they are fetched from the server, which keeps the
// last ones.

import * as api from '../api';
import { current } from '../app/current.svelte';
import { saidOf } from '../app/trouble';
import type { Job, JobAsk, JobKind } from '../core/types';
import type { Results } from './results';

type Kind = keyof Results;

// counted is the number of a job at the end of its id.
const counted = (j: Job) => Number(/\d+$/.exec(j.id)?.[0] ?? 0);

class Work {
  #asked = new Set<string>(); // jobs whose result was asked for
  results = $state.raw<Record<string, unknown>>({}); // by job
  trouble = $state<Partial<Record<JobKind, string>>>({});

  // newest returns the last job of a kind on the present show.
  newest(kind: Kind): Job | undefined {
    const jobs = current.jobs.filter((j) => j.kind === kind && j.show === current.id);
    return jobs.sort((a, b) => b.begun.localeCompare(a.begun) || counted(b) - counted(a))[0];
  }

  // result returns what the newest job of a kind gave, once it is here.
  result<K extends Kind>(kind: K): Results[K] | undefined {
    const job = this.newest(kind);
    return job && (this.results[job.id] as Results[K] | undefined);
  }

  // fetch gets the result of the newest job of a kind when it has ended.
  async fetch(kind: Kind): Promise<void> {
    const job = this.newest(kind);
    if (!job || this.#asked.has(job.id) || (job.state !== 'done' && job.state !== 'stopped')) return;
    this.#asked.add(job.id);
    try {
      const result = await api.jobResult<Results[Kind]>(job.id);
      this.results = { ...this.results, [job.id]: result };
      this.trouble[kind] = '';
    } catch (e) {
      this.trouble[kind] = saidOf(e);
    }
  }

  async start(ask: JobAsk): Promise<void> {
    this.trouble[ask.kind] = '';
    try {
      await current.startJob(ask);
    } catch (e) {
      this.trouble[ask.kind] = saidOf(e);
    }
  }

  async stop(job: Job): Promise<void> {
    try {
      await current.stopJob(job.id);
    } catch (e) {
      this.trouble[job.kind] = saidOf(e);
    }
  }
}

export const work = new Work();
