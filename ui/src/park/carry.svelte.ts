// A vehicle in hand: what it would do in each lane. Lanes are asked two at a
// time, the one pointed at first; answers are kept until the draft changes.

import * as api from '../api';
import { current } from '../app/current.svelte';
import type { Held, Stay } from '../core/types';
import { words } from '../words/app';

class Carry {
  stay = $state.raw<Stay | null>(null);
  over = $state(''); // the lane pointed at
  held = $state.raw<Record<string, Held>>({});
  trouble = $state('');
  #lanes: string[] = [];
  #asking = new Set<string>();
  #stop = new AbortController();
  #kept = new Map<string, Record<string, Held>>();

  get unit(): string { return this.stay?.unit ?? ''; }

  pick(stay: Stay, lanes: readonly string[]) {
    this.drop();
    if (current.goesOn) {
      this.trouble = words.goesOn(current.goesOn);
      return;
    }
    this.stay = stay;
    this.over = stay.lane;
    this.#lanes = lanes.filter((l) => l !== stay.lane);
    this.held = this.#kept.get(this.#key()) ?? {};
    this.#ask();
  }

  drop() {
    this.#stop.abort();
    this.#stop = new AbortController();
    this.#asking.clear();
    this.stay = null;
    this.over = this.trouble = '';
    this.held = {};
  }

  point(lane: string) {
    if (this.over !== lane) this.over = lane;
  }

  // put puts the vehicle down in the lane pointed at.
  async put(onward: boolean): Promise<void> {
    const { stay, over } = this;
    this.drop();
    if (!stay || !over || over === stay.lane) return;
    await current.place({ unit: stay.unit, after: stay.after, lane: over, onward });
  }

  #key() { return `${current.id}:${current.table?.version}:${this.stay?.id}`; }

  #ask() {
    while (this.#asking.size < 2) {
      const open = (l: string) => !this.held[l] && !this.#asking.has(l);
      const lane = this.#lanes.includes(this.over) && open(this.over) ? this.over : this.#lanes.find(open);
      if (!lane) return;
      void this.#askOne(lane);
    }
  }

  async #askOne(lane: string) {
    const { stay } = this, stop = this.#stop.signal, key = this.#key();
    if (!stay) return;
    this.#asking.add(lane);
    try {
      const held = await api.held(current.id, current.table!.version, stay.unit, stay.after, lane, stop);
      if (stop.aborted) return;
      this.held = { ...this.held, [lane]: held };
      this.#kept.set(key, this.held);
      if (this.#kept.size > 60) this.#kept.delete(this.#kept.keys().next().value!);
    } catch (e) {
      if (stop.aborted) return;
      this.trouble = e instanceof Error ? e.message : String(e);
      this.#lanes = this.#lanes.filter((l) => l !== lane);
    }
    this.#asking.delete(lane);
    this.#ask();
  }
}

export const carry = new Carry();
