// The moment looked at, and playing it forward.

import { current } from '../app/current.svelte';
import { Reel } from '../core/film';
import { momentAt, secondsOf } from '../core/time';
import type { Film } from '../core/types';

class Player {
  time = $state(0);
  slow = $state(0); // the same in steps, for words and lists that need not follow every frame
  playing = $state(false);
  speed = $state(60);
  reel = $state.raw<Reel | null>(null); // as it is drawn, frame by frame
  book: Reel | null = null; // the same, for looking up single moments
  #film: Film | undefined;
  #show = 0;
  #last = 0;
  #next = 0;

  // take takes the film of a table; the moment stays unless it is another show,
  // or the first film of this one.
  take(id: number, film: Film | undefined, begin: number) {
    if (film === this.#film && id === this.#show) return;
    const first = film && !this.#film;
    this.#film = film;
    this.book = film ? new Reel(film) : null;
    this.reel = film ? new Reel(film) : null;
    if (id !== this.#show) this.go(current.at ? secondsOf(current.at) : begin);
    else if (first) this.go(begin);
    this.#show = id;
  }

  go(time: number) {
    const from = this.reel?.from ?? 0, to = this.reel?.to ?? time;
    this.#set(Math.min(to, Math.max(from, Math.round(time))));
    current.at = momentAt(this.time);
  }

  #set(time: number) {
    const pace = this.playing ? Math.max(30, this.speed) : 30, slow = Math.floor(time / pace) * pace;
    this.time = time;
    if (slow !== this.slow) this.slow = slow;
  }

  step(back: boolean) {
    if (this.reel) this.go(this.reel.next(this.time, back));
  }

  toggle() {
    this.playing = !this.playing && this.reel !== null;
    if (!this.playing) this.go(this.time);
    else { this.#last = 0; this.#again(); }
  }

  pause() {
    if (this.playing) this.toggle();
  }

  #again() {
    cancelAnimationFrame(this.#next);
    this.#next = requestAnimationFrame(this.#frame);
  }

  // frame moves on by the time gone since the last one; quiet spans without
  // moves are passed quickly.
  #frame = (now: number) => {
    if (!this.playing || !this.reel) return;
    if (this.#last) {
      let time = this.time + Math.min(0.1, (now - this.#last) / 1000) * this.speed;
      const moving = this.reel.steps.some((s) => s.at <= time && s.ends > time);
      const next = this.reel.next(this.time);
      if (!moving && next - time > 240) time = next - 120;
      this.#set(Math.min(this.reel.to, time));
    }
    this.#last = now;
    if (this.time >= this.reel.to) this.toggle();
    else this.#again();
  };
}

export const player = new Player();
