// Answers that are kept on this device until the server has them. They survive
// a reload and a server that is gone; each is sent once, in the order in which
// it was given.

import type { Happening } from '../core/types';
import type { Answer } from '../core/parade';
import { acknowledged, give, unsent, waiting } from '../core/parade';

interface Store { getItem(key: string): string | null; setItem(key: string, value: string): void }

// Refused is thrown by a Post for what the server will not take as it is; its
// message says why. Anything else thrown means: try again later.
export class Refused extends Error {}

export type Post = (happenings: Happening[]) => Promise<unknown>;

const again = 4000; // milliseconds before another try

export class Outbox {
  answers = $state.raw<Answer[]>([]);
  at = $state('');
  sending = $state(false);
  readonly #key: string;
  #timer: ReturnType<typeof setTimeout> | undefined;

  constructor(show: number, private readonly store: Store, private readonly post: Post) {
    this.#key = `sallyport.first-parade.${show}`;
    const kept = JSON.parse(store.getItem(this.#key) ?? '{}') as { at?: string; answers?: Answer[] };
    this.at = kept.at ?? '';
    this.answers = kept.answers ?? [];
  }

  get left(): Answer[] { return unsent(this.answers); }
  get refused(): Answer[] { return this.answers.filter((a) => a.refused); }

  moment(at: string): void {
    this.at = at;
    this.#keep();
  }

  say(unit: string, happenings: Happening[]): void {
    this.answers = give(this.answers, unit, this.at, happenings);
    this.#keep();
    void this.send();
  }

  drop(key: number): void {
    this.answers = this.answers.filter((a) => a.key !== key);
    this.#keep();
  }

  // send sends what is waiting; what comes meanwhile goes after it.
  async send(): Promise<void> {
    if (this.sending) return;
    clearTimeout(this.#timer);
    this.sending = true;
    try {
      for (let list = waiting(this.answers); list.length > 0; list = waiting(this.answers)) {
        if (await this.#one(list)) continue;
        // One of several was refused: each by itself, to find out which.
        for (const a of list) await this.#one([a], true);
      }
    } catch {
      this.#timer = setTimeout(() => void this.send(), again);
    } finally {
      this.sending = false;
    }
  }

  // #one sends some answers together and reports whether they were taken.
  async #one(list: Answer[], alone = list.length === 1): Promise<boolean> {
    try {
      await this.post(list.flatMap((a) => a.happenings));
    } catch (trouble) {
      if (!(trouble instanceof Refused)) throw trouble;
      if (alone) {
        this.answers = this.answers.map((a) => (a.key === list[0]!.key ? { ...a, refused: trouble.message } : a));
        this.#keep();
        return true;
      }
      return false;
    }
    this.answers = acknowledged(this.answers, list.map((a) => a.key));
    this.#keep();
    return true;
  }

  stop(): void { clearTimeout(this.#timer); }

  #keep(): void {
    try {
      this.store.setItem(this.#key, JSON.stringify({ at: this.at, answers: unsent(this.answers) }));
    } catch {
      // A device that keeps nothing still sends.
    }
  }
}
