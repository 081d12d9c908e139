// Mouse, pen, finger and keys on the photo.

/** @typedef {import('./desk-marks.js').Px} Px */

const REACH = { mouse: 9, pen: 15, touch: 26 };
/** A mouse is exact: while a line is drawn, points may lie close together. */
const REACH_DRAWING = { mouse: 6, pen: 12, touch: 26 };
const SLOP = { mouse: 4, pen: 6, touch: 9 };
const PRESS_MS = 230;
/** A tap so near to a point of the line being drawn means that point; farther off, a new one. */
const NEAR = 12;

export class Hand {
  /** @param {HTMLElement} pane @param {any} desk */
  constructor(pane, desk) {
    this.pane = pane;
    this.desk = desk;
    /** @type {Map<number, {u: number, v: number, type: string}>} */
    this.down = new Map();
    /** What the pointer is doing: press, pan, drag, place, pinch. */
    this.doing = null;
    this.timer = 0;
    const on = (name, f, options) => pane.addEventListener(name, f, options);
    on('pointerdown', (e) => this.start(e));
    on('pointermove', (e) => this.move(e));
    on('pointerup', (e) => this.end(e));
    on('pointercancel', (e) => this.cancel(e));
    on('pointerleave', (e) => {
      if (e.pointerType === 'mouse' && !this.doing) {
        desk.cursor = null;
        desk.hover = null;
        desk.touch();
      }
    });
    on('contextmenu', (e) => e.preventDefault());
    on('wheel', (e) => this.wheel(e), { passive: false });
    on('keydown', (e) => this.key(e));
    on('focus', () => { if (pane.matches(':focus-visible')) desk.sheet.refresh(); });
    on('blur', () => {
      delete pane.dataset.by;
      desk.aim = false;
      desk.touch();
    });
    // Safari's own pinch would zoom the page.
    on('gesturestart', (e) => e.preventDefault());
  }

  /** @param {PointerEvent} e @returns {Px} */
  place(e) {
    // The pane's place is measured once a press, not at each move: asking for it makes the browser lay out the page.
    if (!this.box || e.type === 'pointerdown' || e.type === 'wheel' || !this.doing) this.box = this.pane.getBoundingClientRect();
    return [e.clientX - this.box.left, e.clientY - this.box.top];
  }

  reach(type) { return (this.desk.canPlace() ? REACH_DRAWING : REACH)[type] ?? 12; }

  /** The set point within reach, nearest first; the line at work goes before others. */
  hit(u, v, reach) {
    const { desk } = this;
    const { view } = desk;
    let best = null;
    const only = desk.drawing && desk.layer;
    for (const line of desk.marks.lines()) {
      const own = line.id === desk.line;
      if (only && !own) continue;
      line.points.forEach((p, at) => {
        const [x, y] = view.toScreen(p);
        const off = Math.hypot(x - u, y - v);
        const d = off * (own ? 0.6 : 1);
        if (off <= reach && (!best || d < best.d)) best = { id: line.id, at, d, off };
      });
    }
    return best;
  }

  /** Where a line passes within reach: between which points. */
  hitLine(line, u, v, reach) {
    const { desk } = this;
    const n = line.points.length;
    if (n < 2 || n >= line.most) return null;
    const open = !line.closed || desk.drawing;
    let best = null;
    for (let i = 0; i < (open ? n - 1 : n); i += 1) {
      const { px } = desk.paths.between(line, line.points[i], line.points[(i + 1) % n]);
      let before = desk.view.toScreen(px[0]);
      for (let j = 1; j < px.length; j += 1) {
        const now = desk.view.toScreen(px[j]);
        const d = distance([u, v], before, now);
        if (d <= reach && (!best || d < best.d)) best = { at: i + 1, d };
        before = now;
      }
    }
    return best;
  }

  start(e) {
    const { desk } = this;
    const [u, v] = this.place(e);
    if (e.pointerType === 'mouse' && e.button > 1 && e.button !== 2) return;
    this.pane.setPointerCapture?.(e.pointerId);
    this.pane.dataset.by = 'hand';
    desk.view.touched = true;
    this.pane.focus({ preventScroll: true });
    desk.aim = false;
    desk.coarse = e.pointerType === 'touch';
    this.down.set(e.pointerId, { u, v, type: e.pointerType });
    if (this.down.size === 2) {
      this.stopPress();
      if (this.doing?.what === 'drag') this.endDrag();
      desk.cursor = null;
      this.doing = { what: 'pinch', ...this.spread() };
      desk.touch();
      return;
    }
    if (this.down.size > 2) return;
    const hit = e.button === 0 && !desk.proposing ? this.hit(u, v, this.reach(e.pointerType)) : null;
    this.doing = { what: 'press', id: e.pointerId, type: e.pointerType, u, v, hit, pans: e.button !== 0 };
    if (e.pointerType !== 'mouse') {
      this.timer = setTimeout(() => this.held(), PRESS_MS);
    }
    if (hit && e.pointerType === 'mouse') this.held();
    desk.touch('live');
  }

  /** A finger that rests: takes the point under it, or sets one with the loupe. */
  held() {
    const { desk, doing } = this;
    if (doing?.what !== 'press' || doing.pans) return;
    const at = [doing.u, doing.v];
    if (doing.hit) {
      const line = desk.marks.line(doing.hit.id);
      const p = desk.view.toScreen(line.points[doing.hit.at]);
      const wasPicked = desk.picked?.id === doing.hit.id && desk.picked.at === doing.hit.at;
      desk.pick(doing.hit.id, doing.hit.at, true);
      this.doing = { ...doing, what: 'drag', off: [p[0] - doing.u, p[1] - doing.v], moved: false, wasPicked };
      if (doing.type !== 'mouse') desk.loupe = { p: line.points[doing.hit.at], finger: at };
    } else if (desk.canPlace() && !desk.proposing) {
      this.doing = { ...doing, what: 'place' };
      desk.cursor = desk.view.toPhoto(at);
      desk.loupe = { p: desk.cursor, finger: at };
      navigator.vibrate?.(8);
    }
    desk.touch('live');
  }

  move(e) {
    const { desk, doing } = this;
    const pointer = this.down.get(e.pointerId);
    const [u, v] = this.place(e);
    if (!pointer) {
      if (e.pointerType === 'touch') return;
      this.over(u, v, e.pointerType);
      return;
    }
    const [du, dv] = [u - pointer.u, v - pointer.v];
    pointer.u = u;
    pointer.v = v;
    if (!doing) return;
    if (doing.what === 'pinch') {
      const now = this.spread();
      desk.view.panBy(now.u - doing.u, now.v - doing.v);
      if (doing.d > 0 && now.d > 0) desk.view.zoomAt(now.u, now.v, now.d / doing.d);
      Object.assign(doing, now);
      return;
    } else if (doing.what === 'press') {
      if (Math.hypot(u - doing.u, v - doing.v) > (SLOP[doing.type] ?? 5)) {
        // A finger that swipes from a point which is not picked means the photo: no point moves by accident.
        const own = doing.hit && desk.picked?.id === doing.hit.id && desk.picked.at === doing.hit.at;
        if (doing.hit && !doing.pans && (doing.type === 'mouse' || own)) {
          this.stopPress();
          this.held();
          this.dragTo(u, v);
        } else {
          this.stopPress();
          this.doing = { ...doing, what: 'pan' };
          desk.cursor = null;
          desk.view.panBy(u - doing.u, v - doing.v);
        }
      }
    } else if (doing.what === 'pan') {
      desk.view.panBy(du, dv);
      return;
    } else if (doing.what === 'place') {
      desk.cursor = desk.view.toPhoto([u, v]);
      desk.loupe = { p: desk.cursor, finger: [u, v] };
    } else if (doing.what === 'drag') {
      this.dragTo(u, v);
    }
    desk.touch(desk.drag ? 'view' : 'live');
  }

  over(u, v, type) {
    const { desk } = this;
    const hover = this.hit(u, v, this.reach(type));
    desk.hover = hover ? { id: hover.id, at: hover.at } : null;
    desk.cursor = desk.canPlace() || desk.proposing ? desk.view.toPhoto([u, v]) : null;
    const style = hover ? 'grab' : desk.canPlace() || desk.proposing ? 'crosshair' : '';
    if (this.pane.style.cursor !== style) this.pane.style.cursor = style;
    if (desk.hover || desk.cursor || this.seen) desk.touch('live');
    this.seen = desk.hover || desk.cursor;
  }

  dragTo(u, v) {
    const { desk, doing } = this;
    if (doing.what !== 'drag') return;
    if (!doing.moved) {
      if (Math.hypot(u - doing.u, v - doing.v) < (doing.type === 'mouse' ? 2 : 4)) return;
      doing.moved = true;
      desk.beginDrag(doing.hit);
    }
    const p = desk.hem(desk.view.toPhoto([u + doing.off[0], v + doing.off[1]]));
    desk.dragTo(p);
    if (doing.type !== 'mouse') desk.loupe = { p, finger: [u, v] };
  }

  endDrag() {
    const { desk, doing } = this;
    if (doing?.moved) desk.endDrag();
    desk.loupe = null;
  }

  end(e) {
    const { desk, doing } = this;
    const pointer = this.down.get(e.pointerId);
    if (!pointer) return;
    this.down.delete(e.pointerId);
    this.stopPress();
    const [u, v] = this.place(e);
    if (doing?.what === 'pinch') {
      // The finger that stays pans on; it sets nothing.
      const [id] = this.down.keys();
      this.doing = id === undefined ? null : { what: 'pan', id };
    } else if (doing?.what === 'drag') {
      if (!doing.moved) {
        const line = desk.marks.line(doing.hit.id);
        if (desk.drawing && line?.closed && doing.hit.at === 0 && line.points.length >= line.least) desk.endLine();
        else if (doing.wasPicked) desk.letGo();
      }
      this.endDrag();
      this.doing = null;
    } else if (doing?.what === 'place') {
      const p = desk.cursor;
      desk.loupe = null;
      this.doing = null;
      if (p) this.set(p, u, v, 'touch');
      desk.cursor = null;
    } else if (doing?.what === 'press') {
      this.doing = null;
      if (doing.hit && doing.type !== 'mouse') {
        const { id, at, off } = doing.hit;
        const line = desk.marks.line(id);
        if (desk.drawing && line?.closed && at === 0 && off <= NEAR && line.points.length >= line.least) desk.endLine();
        else if (desk.canPlace() && off > NEAR) this.tap(u, v, doing.type);
        else if (desk.picked?.id === id && desk.picked.at === at) desk.letGo();
        else desk.pick(id, at, true);
      } else if (!doing.pans) {
        this.tap(u, v, doing.type);
      }
    } else {
      this.doing = null;
    }
    if (e.pointerType === 'mouse') this.over(u, v, 'mouse');
    else desk.cursor = null;
    // A drag has said itself what is to be drawn.
    if (!doing?.moved) desk.touch();
  }

  tap(u, v, type) {
    const { desk } = this;
    const p = desk.view.toPhoto([u, v]);
    if (desk.proposing) {
      desk.proposeAt(p);
      return;
    }
    this.set(p, u, v, type);
  }

  /** Sets a point: on the line between two if one passes here, else at the end. */
  set(p, u, v, type) {
    const { desk } = this;
    if (!desk.inside(p)) return;
    const line = desk.marks.line(desk.line);
    const reach = (REACH[type] ?? 12) * (desk.drawing ? 0.5 : 0.8);
    const on = line ? this.hitLine(line, u, v, reach) : null;
    if (on) desk.insert(on.at, p);
    else if (desk.canPlace()) desk.set(p);
    else {
      const other = desk.marks.lines().map((l) => ({ l, on: l.id === desk.line ? null : this.hitLine({ ...l, most: 9999 }, u, v, reach) }))
        .filter((o) => o.on).sort((a, b) => a.on.d - b.on.d)[0];
      if (other) desk.choose(other.l.layer, other.l.id);
      else if (desk.picked) desk.letGo();
      else desk.hint();
    }
  }

  cancel(e) {
    this.down.delete(e.pointerId);
    this.stopPress();
    if (this.doing?.what === 'drag') this.endDrag();
    this.doing = null;
    this.desk.loupe = null;
    this.desk.cursor = null;
    this.desk.touch();
  }

  stopPress() {
    clearTimeout(this.timer);
    this.timer = 0;
  }

  spread() {
    const [a, b] = [...this.down.values()];
    return { u: (a.u + b.u) / 2, v: (a.v + b.v) / 2, d: Math.hypot(a.u - b.u, a.v - b.v) };
  }

  /** @param {WheelEvent} e */
  wheel(e) {
    e.preventDefault();
    const { view } = this.desk;
    const [u, v] = this.place(e);
    const unit = e.deltaMode === 1 ? 16 : e.deltaMode === 2 ? view.h : 1;
    const steps = /** @type {any} */ (e).wheelDeltaY;
    // A touch pad sends small steps in both directions: two fingers pan, a pinch (with Ctrl) zooms. A wheel zooms.
    const pad = e.deltaMode === 0 && !e.ctrlKey && !e.metaKey && (e.deltaX !== 0 || (steps && steps % 120 !== 0)) && !e.shiftKey;
    if (pad) view.panBy(-e.deltaX, -e.deltaY);
    else if (e.shiftKey && !e.ctrlKey) view.panBy(-(e.deltaX || e.deltaY) * unit, 0);
    else view.zoomAt(u, v, Math.exp(-Math.max(-240, Math.min(240, e.deltaY * unit)) * (e.ctrlKey && Math.abs(e.deltaY) < 50 ? 0.01 : 0.0022)));
    if (this.desk.cursor) this.desk.cursor = view.toPhoto([u, v]);
  }

  /** @param {KeyboardEvent} e */
  key(e) {
    const { desk } = this;
    const { view } = desk;
    if (e.ctrlKey || e.metaKey) return;
    delete this.pane.dataset.by;
    const arrow = { ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1] }[e.key];
    let done = true;
    if (arrow) {
      if (desk.picked) desk.nudge(arrow[0], arrow[1], e.altKey ? 0.25 : e.shiftKey ? 10 : 1);
      else {
        const step = e.shiftKey ? 120 : e.altKey ? 2 : 24;
        view.panBy(-arrow[0] * step, -arrow[1] * step);
        desk.aim = true;
      }
    } else if (e.key === '+' || e.key === '=') view.zoomAt(view.w / 2, view.h / 2, 1.25);
    else if (e.key === '-' || e.key === '_') view.zoomAt(view.w / 2, view.h / 2, 0.8);
    else if (e.key === '0') desk.fit();
    else if (e.key === ']' || (e.key === 'Tab' && !e.shiftKey && desk.picked)) done = desk.pickNext(1, e.key === 'Tab');
    else if (e.key === '[' || (e.key === 'Tab' && e.shiftKey && desk.picked)) done = desk.pickNext(-1, e.key === 'Tab');
    else if (e.key === ' ') {
      const p = view.toPhoto([view.w / 2, view.h / 2]);
      desk.aim = true;
      if (desk.proposing) desk.proposeAt(p);
      else this.set(p, view.w / 2, view.h / 2, 'mouse');
    } else if (e.key === 'Delete' || e.key === 'Backspace') desk.removePicked();
    else if (e.key === 'Enter') desk.endLine();
    else if (e.key === 'Escape') desk.escape();
    else if (e.key === 'h' || e.key === 'H') desk.toggleHold();
    else done = false;
    if (desk.aim && desk.canPlace()) desk.cursor = view.toPhoto([view.w / 2, view.h / 2]);
    if (done) {
      e.preventDefault();
      desk.touch();
    }
  }
}

function distance(p, a, b) {
  const [dx, dy] = [b[0] - a[0], b[1] - a[1]];
  const n = dx * dx + dy * dy;
  const t = n ? Math.min(1, Math.max(0, ((p[0] - a[0]) * dx + (p[1] - a[1]) * dy) / n)) : 0;
  return Math.hypot(p[0] - a[0] - t * dx, p[1] - a[1] - t * dy);
}
