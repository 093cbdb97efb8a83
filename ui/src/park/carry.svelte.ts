// A vehicle in hand: what it would do in each lane. Lanes are asked two at a
// time, the one pointed at first; answers are kept until the draft changes. Of
// a first stay a place in the lane can be pointed at, too; else it goes where it
// costs least.

import * as api from '../api';
import { current } from '../app/current.svelte';
import type { Held, Stay } from '../core/types';
import { words } from '../words/app';

class Carry {
  stay = $state.raw<Stay | null>(null);
  over = $state(''); // the lane pointed at
  place = $state(0); // in it, from the mouth; 0: where it costs least
  onward = $state(false); // the later stays in the same lane, too
  held = $state.raw<Record<string, Held>>({}); // by lane and place
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
    this.#again();
  }

  setOnward(yes: boolean) {
    this.onward = yes;
    this.#stop.abort();
    this.#again();
  }

  drop() {
    this.#stop.abort();
    this.stay = null;
    this.over = this.trouble = '';
    this.place = 0;
    this.held = {};
  }

  point(lane: string, place = 0) {
    if (this.over === lane && this.place === place) return;
    this.over = lane;
    this.place = place;
    if (this.stay) this.#ask();
  }

  // answer is what is known of the lane and place pointed at.
  get answer(): Held | undefined { return this.held[keyOf(this.over, this.place)]; }

  // put puts the vehicle down in the lane pointed at.
  async put(): Promise<void> {
    const { stay, over, place, onward } = this;
    this.drop();
    if (!stay || !over || (over === stay.lane && !place)) return;
    await current.place({ unit: stay.unit, after: stay.after, lane: over, onward, ...(place ? { place } : {}) });
  }

  #key() { return `${current.id}:${current.table?.version}:${this.stay?.id}:${this.onward}`; }

  #again() {
    this.#stop = new AbortController();
    this.#asking.clear();
    this.held = this.#kept.get(this.#key()) ?? {};
    this.#ask();
  }

  #ask() {
    while (this.#asking.size < 2) {
      const open = (key: string) => !this.held[key] && !this.#asking.has(key);
      const now = keyOf(this.over, this.place), asked = this.#lanes.includes(this.over) || (this.place > 0 && this.over !== '');
      const key = asked && open(now) ? now : this.#lanes.find(open);
      if (!key) return;
      void this.#askOne(key);
    }
  }

  async #askOne(which: string) {
    const { stay, onward } = this, stop = this.#stop.signal, key = this.#key();
    if (!stay) return;
    const [lane, place] = which.split('\n') as [string, string?];
    this.#asking.add(which);
    try {
      const held = await api.held(current.id, current.table!.version, { unit: stay.unit, after: stay.after, lane, onward, ...(place ? { place: Number(place) } : {}) }, stop);
      if (stop.aborted) return;
      this.held = { ...this.held, [which]: held };
      this.#kept.set(key, this.held);
      if (this.#kept.size > 60) this.#kept.delete(this.#kept.keys().next().value!);
    } catch (e) {
      if (stop.aborted) return;
      this.trouble = e instanceof Error ? e.message : String(e);
      this.#lanes = this.#lanes.filter((l) => l !== lane);
      if (place) this.place = 0;
    }
    this.#asking.delete(which);
    this.#ask();
  }
}

const keyOf = (lane: string, place: number) => (place ? `${lane}\n${place}` : lane);

export const carry = new Carry();
