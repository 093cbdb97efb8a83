// Moving and enlarging the sheet.

import type { Point, View } from '../core/ground';

export class Sight {
  view: View;
  constructor(readonly svg: SVGSVGElement, private home: View) {
    this.view = { ...home };
    this.show();
  }

  show() {
    const v = this.view;
    this.svg.setAttribute('viewBox', `${v.x} ${v.y} ${v.wide} ${v.high}`);
    const cm = this.pixel();
    this.svg.classList.toggle('near', cm < 7);
    this.svg.classList.toggle('far', cm > 26); // names would be under 5 pixels high
  }

  // pixel returns how many centimetres one pixel is.
  pixel(): number {
    const box = this.svg.getBoundingClientRect();
    return Math.max(this.view.wide / (box.width || 1), this.view.high / (box.height || 1));
  }

  fit(home = this.home) {
    this.home = home;
    this.view = { ...home };
    this.show();
  }

  pan(x: number, y: number) {
    this.view.x += x;
    this.view.y += y;
    this.show();
  }

  // zoom makes the sheet larger by a factor, around a point that stays.
  zoom(by: number, around: Point = { x: this.view.x + this.view.wide / 2, y: this.view.y + this.view.high / 2 }) {
    const v = this.view, wide = Math.min(this.home.wide * 2, Math.max(1500, v.wide / by)), k = wide / v.wide;
    this.view = { x: around.x + (v.x - around.x) * k, y: around.y + (v.y - around.y) * k, wide, high: v.high * k };
    this.show();
  }

  // to brings a point into the middle, near enough to read names.
  to(p: Point) {
    const k = Math.min(1, 5000 / this.view.wide), wide = this.view.wide * k, high = this.view.high * k;
    this.view = { x: p.x - wide / 2, y: p.y - high / 2, wide, high };
    this.show();
  }

  point(e: { clientX: number; clientY: number }): Point {
    const m = this.svg.getScreenCTM();
    if (!m) return { x: 0, y: 0 };
    const p = new DOMPoint(e.clientX, e.clientY).matrixTransform(m.inverse());
    return { x: p.x, y: p.y };
  }

  // screen is the inverse of point.
  screen(p: Point): Point {
    const m = this.svg.getScreenCTM();
    return m ? new DOMPoint(p.x, p.y).matrixTransform(m) : p;
  }
}
