// Vehicles on the sheet: each is a group that is moved as a whole. Only who has
// moved is touched.

import type { Pose } from '../core/sheet';

interface Drawn { group: SVGGElement; name: Element | null; upright: Element | null; at: string; flipped?: boolean }

export class Painter {
  readonly poses = new Map<string, Pose>();
  #nodes = new Map<string, Drawn>();

  keep(group: SVGGElement, unit: string) {
    this.#nodes.set(unit, { group, name: null, upright: null, at: '?' });
    return { destroy: () => { this.#nodes.delete(unit); this.poses.delete(unit); } };
  }

  // forget has everybody drawn anew: names and numbers may be others.
  forget() {
    for (const n of this.#nodes.values()) Object.assign(n, { at: '?', name: n.group.querySelector('.name'), upright: n.group.querySelector('.upright'), flipped: undefined });
  }

  // draw puts a vehicle where it stands; without a pose it is not on the sheet.
  // Names keep upright, whichever way the vehicle faces.
  draw(unit: string, pose: Pose | undefined, lifted = false) {
    const n = this.#nodes.get(unit);
    if (!n) return;
    const at = pose ? `translate(${pose.x.toFixed(1)} ${pose.y.toFixed(1)}) rotate(${pose.heading.toFixed(1)})` : '';
    if (n.at === at) return;
    if (!pose || n.at === '' || n.at === '?') n.group.style.display = pose ? '' : 'none';
    n.at = at;
    if (!pose) { this.poses.delete(unit); return; }
    this.poses.set(unit, pose);
    n.group.setAttribute('transform', at);
    const side = (pose.heading + 270) % 360, flipped = side > 90 && side <= 270;
    if (flipped !== n.flipped) n.name?.setAttribute('transform', `rotate(${flipped ? 90 : -90})`);
    n.flipped = flipped;
    n.upright?.setAttribute('transform', `rotate(${(-pose.heading).toFixed(1)})`);
    n.group.classList.toggle('lifted', lifted);
  }
}
