// The marks over the photo: lines, points, dimensions, the guided path, the loupe. Drawn only when something changed.
// Lines are cached as paths in photo pixels; panning and zooming only changes the transform.

/** @typedef {import('./desk-marks.js').Px} Px */
/** @typedef {import('./desk-marks.js').Line} Line */

/** How each kind of line looks: colours of Okabe and Ito, and never colour alone. */
export const LOOK = {
  scale: { colour: '#ffffff', dash: [2, 4], width: 2, dark: false },
  corners: { colour: '#009E73', dash: [7, 3], width: 1.75, dark: true },
  plate: { colour: '#0072B2', dash: [11, 3, 2, 3], width: 2, dark: true },
  fused: { colour: '#E69F00', dash: [], width: 2, dark: false },
  affected: { colour: '#56B4E9', dash: [9, 5], width: 1.75, dark: false },
  pore: { colour: '#D55E00', dash: [], width: 1.5, dark: true },
  crack: { colour: '#D55E00', dash: [5, 3], width: 2, dark: true },
  unfused: { colour: '#CC79A7', dash: [3, 3], width: 2, dark: false },
  second: { colour: '#56B4E9', dash: [2, 4], width: 2, dark: false },
  ghost: { colour: '#F0E442', dash: [6, 4], width: 2, dark: false },
  theirs: { colour: '#F0E442', dash: [3, 5], width: 1.5, dark: false },
};
const RIM_ON_LIGHT = 'rgba(0,0,0,.6)';
const RIM_ON_DARK = 'rgba(255,255,255,.75)';
const OFFSET = /leg_|penetration/;
const THROAT = /^effective_throat/;

export class Draw {
  /** @param {HTMLElement} pane @param {any} desk */
  constructor(pane, desk) {
    this.desk = desk;
    /** What stays while a line is worked on, and that line with its points. */
    // The figures stay on top: the line at work lies under them.
    this.live = canvas(desk.view.world, 'marks', 0);
    this.still = canvas(desk.view.world, 'marks', MARGIN);
    this.margin = MARGIN;
    this.ctx = this.still.getContext('2d');
    /** @type {Map<string, {sign: any[], path: Path2D}>} */
    this.paths = new Map();
    this.widths = new Map();
    this.cross = document.createElement('div');
    this.cross.className = 'cross';
    this.cross.hidden = true;
    pane.append(this.cross);
    this.loupe = document.createElement('canvas');
    this.loupe.className = 'loupe';
    this.loupe.setAttribute('aria-hidden', 'true');
    // Always there, beside the pane when it is not needed: a layer that comes and goes costs a frame.
    this.loupe.width = LOUPE * 2;
    this.loupe.height = LOUPE * 2;
    this.loupe.style.transform = AWAY;
    pane.append(this.loupe);
  }

  /** Lines on a screen of three device pixels to one stay sharp at two; and cost half. */
  get k() { return Math.min(this.desk.view.dpr, 2); }

  /** Makes a canvas as large as the pane and its margin, and empties it. */
  begin(canvas_) {
    const { view } = this.desk;
    const margin = canvas_ === this.still ? MARGIN : 0;
    this.margin = margin;
    const [w, h] = [Math.round((view.w + 2 * margin) * this.k), Math.round((view.h + 2 * margin) * this.k)];
    if (canvas_.width !== w) this.size(canvas_, w, h);
    else if (canvas_.height < h) this.grow(canvas_, w, h);
    this.ctx = canvas_.getContext('2d');
    this.font_ = '';
    if (canvas_.bare) return;
    this.ctx.setTransform(1, 0, 0, 1, 0, 0);
    this.ctx.clearRect(0, 0, canvas_.width, canvas_.height);
    canvas_.bare = true;
  }

  size(canvas_, w, h) {
    canvas_.width = w;
    canvas_.height = h;
    canvas_.style.width = `${w / this.k}px`;
    canvas_.style.height = `${h / this.k}px`;
    canvas_.bare = true;
  }

  /**
   * Makes a canvas higher when the hand rests: under the photo the words come and go, and a new canvas costs more than
   * a frame. It is never made lower.
   */
  grow(canvas_, w, h) {
    if (canvas_.growing) return;
    canvas_.growing = setTimeout(() => {
      canvas_.growing = 0;
      if (this.desk.hand.doing) this.grow(canvas_, w, h);
      else {
        this.size(canvas_, w, h);
        this.desk.stale[canvas_ === this.still ? 'still' : 'live'] = true;
        this.desk.touch('view');
      }
    }, canvas_ === this.still ? 250 : 330);
  }

  /** Everything but the line at work. */
  drawStill() {
    const { desk } = this;
    this.begin(this.still);
    if (desk.hideMarks) return;
    const { ctx } = this;
    this.still.bare = false;
    ctx.lineJoin = 'round';
    const lines = desk.marks.lines();
    if (desk.theirs?.shown) {
      for (const line of desk.theirs.lines) this.stroke(pathOf(line.points, line.closed), LOOK.theirs, 1);
    }
    for (const line of lines) {
      if (line.points.length < 2 || line.id === desk.line) continue;
      for (const path of this.pathsFor(line)) this.stroke(path, LOOK[line.kind], desk.line === null ? 1 : 0.8);
    }
    for (const px of desk.answer?.beside ?? []) this.stroke(pathOf(px), LOOK.second, 1);
    if (desk.ghosts) {
      desk.ghosts.outlines.forEach((ghost, i) => {
        this.stroke(pathOf(ghost.points, ghost.closed), LOOK.ghost, 1);
        for (const p of ghost.points) this.dot(p, 2.5, LOOK.ghost.colour);
        if (desk.ghosts.outlines.length > 1) this.label(String.fromCharCode(65 + i), ghost.points[0]);
      });
    }
    this.dimensions();
    for (const line of lines) {
      if (line.id === desk.line) continue;
      if (line.kind === 'scale') this.ticks(line);
      for (const p of line.points) this.dot(p, desk.coarse ? 3 : 2.5, LOOK[line.kind].colour);
    }
  }

  /** The line at work, its points, and the path that follows the cursor. */
  drawLive() {
    const { desk } = this;
    this.begin(this.live);
    const line = desk.marks.line(desk.line);
    if (desk.hideMarks || (!line && !desk.flash)) return;
    this.live.bare = false;
    this.ctx.lineJoin = 'round';
    const coarse = desk.coarse ? 1.25 : 1;
    if (line && line.points.length > 1) {
      if (line.kind === 'plate') this.extended(line);
      for (const path of this.pathsFor(line)) this.stroke(path, LOOK[line.kind], 1);
      if (line.kind === 'scale') this.ticks(line);
    }
    if (line) {
      this.livePath(line, coarse);
      this.handles(line, coarse);
    }
    if (desk.flash && performance.now() < desk.flash.until) this.ring(desk.flash.p, 15, '#fff', 1.5);
  }

  /** What lies over the photo at a fixed place. */
  drawOver() {
    const aim = this.desk.aim && !this.desk.picked;
    if (this.cross.hidden === aim) this.cross.hidden = !aim;
    this.paintLoupe();
  }

  onScreen() { this.ctx.setTransform(this.k, 0, 0, this.k, this.margin * this.k, this.margin * this.k); }

  /** Strokes a path that is in photo pixels. */
  stroke(path, look, alpha) {
    const { ctx, desk: { view } } = this;
    const { s } = view;
    ctx.setTransform(this.k * s, 0, 0, this.k * s, this.k * (view.tx + 0.5 * s + this.margin), this.k * (view.ty + 0.5 * s + this.margin));
    ctx.globalAlpha = alpha;
    ctx.setLineDash(look.dash.map((d) => d / s));
    ctx.strokeStyle = look.dark ? RIM_ON_DARK : RIM_ON_LIGHT;
    ctx.lineWidth = (look.width + (look.dark ? 1.4 : 2)) / s;
    ctx.stroke(path);
    ctx.strokeStyle = look.colour;
    ctx.lineWidth = look.width / s;
    ctx.stroke(path);
    ctx.setLineDash([]);
    ctx.globalAlpha = 1;
  }

  /**
   * The line with its ways between set points; where one of them is picked in two paths, what stays and what goes with it
   * when it is dragged. Each is kept until it changes.
   * @param {Line} line
   */
  pathsFor(line) {
    const { desk } = this;
    const { points, guided } = line;
    const drag = desk.drag?.id === line.id ? desk.drag : null;
    const moving = drag ?? (desk.picked?.id === line.id ? desk.picked : null);
    const open = !line.closed || (desk.drawing && desk.line === line.id);
    const last = open ? points.length - 1 : points.length;
    const goes = (i) => moving !== null && (moving.at === i || moving.at === (i + 1) % points.length);
    const stayed = (path, a, b) => {
      for (const p of desk.paths.between(line, a, b).px) path.lineTo(p[0], p[1]);
    };
    const ways = (which, add) => {
      const path = new Path2D();
      for (let i = 0; i < last; i += 1) {
        if (goes(i) !== which) continue;
        const j = (i + 1) % points.length;
        if (i === 0 || goes(i - 1) !== which) path.moveTo(points[i][0], points[i][1]);
        add(path, points[i], points[j], j);
      }
      return path;
    };
    const version = desk.waysVersion;
    // In a drag one point moves, and the others are as they were when it began.
    const sign = [drag?.points ?? points, guided, version, open, moving?.at];
    const stays = this.kept(line.id, sign, () => ways(false, stayed));
    if (!moving) return [stays];
    const live = (path, a, b, j) => desk.paths.live(path, line, a, b, moving.at === j);
    return [stays, this.kept(`${line.id}/goes`, [points, guided, version, open, moving.at, !drag], () => ways(true, drag ? live : stayed))];
  }

  /** @param {string} id @param {any[]} sign @param {() => Path2D} make */
  kept(id, sign, make) {
    let entry = this.paths.get(id);
    if (!entry || entry.sign.length !== sign.length || entry.sign.some((part, i) => part !== sign[i])) {
      entry = { sign, path: make() };
      this.paths.set(id, entry);
    }
    return entry.path;
  }

  /** Setting a font makes the browser read it: only when it is another one. */
  setFont(weight, size) {
    const font = `${weight} ${size}px system-ui, sans-serif`;
    if (this.font_ !== font) this.ctx.font = font;
    this.font_ = font;
  }

  /** A plate's face carried on as a thin centre line, to show where it would meet the other. */
  extended(line) {
    const { view } = this.desk;
    const p = line.points;
    if (p.length < 2) return;
    const [a, b] = farthest(p);
    const d = [b[0] - a[0], b[1] - a[1]];
    const n = Math.hypot(...d) || 1;
    const reach = (2 * Math.max(view.w, view.h)) / view.s;
    const e = [d[0] / n * reach, d[1] / n * reach];
    this.stroke(pathOf([[a[0] - e[0], a[1] - e[1]], a]), { ...LOOK.plate, width: 0.9 }, 0.55);
    this.stroke(pathOf([b, [b[0] + e[0], b[1] + e[1]]]), { ...LOOK.plate, width: 0.9 }, 0.55);
  }

  ticks(line) {
    if (line.points.length < 2) return;
    const { ctx, desk: { view } } = this;
    const [a, b] = line.points.map((p) => view.toScreen(p));
    const n = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1;
    const t = [-(b[1] - a[1]) / n * 9, (b[0] - a[0]) / n * 9];
    this.onScreen();
    for (const [colour, width] of [[RIM_ON_LIGHT, 4], ['#fff', 2]]) {
      ctx.strokeStyle = colour;
      ctx.lineWidth = width;
      ctx.beginPath();
      for (const p of [a, b]) {
        ctx.moveTo(p[0] - t[0], p[1] - t[1]);
        ctx.lineTo(p[0] + t[0], p[1] + t[1]);
      }
      ctx.stroke();
    }
    const item = this.desk.marks.value.scale?.[+line.id.split('/')[1]];
    const text = item?.length || item?.thickness;
    if (text) this.text(text, a, b, { size: 13 });
  }

  livePath(line, coarse) {
    const { desk } = this;
    if (!desk.drawing || !desk.cursor || desk.drag || !line.points.length || line.points.length >= line.most) return;
    const from = line.points[line.points.length - 1];
    const px = (line.guided && desk.paths.walk(from, desk.cursor)) || [from, desk.cursor];
    this.stroke(pathOf(px), { ...LOOK[line.kind], width: 1.75 }, 0.9);
    if (line.closed && line.points.length > 1) {
      this.stroke(pathOf([desk.cursor, line.points[0]]), { ...LOOK[line.kind], width: 1, dash: [2, 6] }, 0.6);
    }
    if (!desk.aim) this.ring(desk.cursor, 4 * coarse, LOOK[line.kind].colour, 1.5);
  }

  dot(p, r, colour) {
    const { ctx, desk: { view } } = this;
    const [u, v] = view.toScreen(p);
    this.onScreen();
    ctx.fillStyle = 'rgba(0,0,0,.65)';
    ctx.beginPath();
    ctx.arc(u, v, r + 1.2, 0, 7);
    ctx.fill();
    ctx.fillStyle = colour;
    ctx.beginPath();
    ctx.arc(u, v, r, 0, 7);
    ctx.fill();
  }

  ring(p, r, colour, width) {
    const { ctx, desk: { view } } = this;
    const [u, v] = view.toScreen(p);
    this.onScreen();
    for (const [c, w] of [['rgba(0,0,0,.6)', width + 2], [colour, width]]) {
      ctx.strokeStyle = c;
      ctx.lineWidth = w;
      ctx.beginPath();
      ctx.arc(u, v, r, 0, 7);
      ctx.stroke();
    }
  }

  /**
   * The points of the line that is marked: rings open in the middle, squares if held; one with arms if picked. Those that
   * nobody touches are one path, kept while they stay.
   */
  handles(line, coarse) {
    const { desk } = this;
    const { s, tx, ty } = desk.view;
    const drag = desk.drag?.id === line.id ? desk.drag : null;
    const at = (what) => (what?.id === line.id ? what.at : -1);
    const [picked, hover] = [at(drag ?? desk.picked), at(desk.hover)];
    const first = desk.drawing && line.closed && line.points.length > 2;
    const others = this.kept('handles', [line.id, drag?.points ?? line.points, line.hold, picked, hover, first, coarse, s, tx, ty], () => {
      const path = new Path2D();
      line.points.forEach((p, i) => {
        if (i !== picked && i !== hover) this.handle(path, line, p, i, 5.5 * coarse, first);
      });
      return path;
    });
    this.onScreen();
    this.rimmed(others, '#fff', 1.75, 4);
    for (const i of new Set([hover, picked])) {
      const p = line.points[i];
      if (!p) continue;
      const path = new Path2D();
      const r = (i === picked ? 8 : 7.5) * coarse;
      this.handle(path, line, p, i, r, first);
      if (i === picked) {
        const [u, v] = desk.view.toScreen(p);
        for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]]) {
          path.moveTo(u + dx * r, v + dy * r);
          path.lineTo(u + dx * (r + 7), v + dy * (r + 7));
        }
      }
      if (i === picked) this.rimmed(path, '#F0E442', 2.25, 4.5);
      else this.rimmed(path, '#fff', 1.75, 4);
      if (line.points.length > 1) this.label(String(i + 1), p, r + 6);
    }
  }

  /** One point's ring or square; round the first one of an outline being drawn a second ring: back there it ends. */
  handle(path, line, p, i, r, first) {
    const [u, v] = this.desk.view.toScreen(p);
    if (line.hold.includes(i)) path.rect(u - r, v - r, 2 * r, 2 * r);
    else {
      path.moveTo(u + r, v);
      path.arc(u, v, r, 0, 7);
    }
    if (first && i === 0) {
      path.moveTo(u + r + 4, v);
      path.arc(u, v, r + 4, 0, 7);
    }
  }

  /** Strokes a path that is in screen pixels, with a dark rim. */
  rimmed(path, colour, width, rim) {
    const { ctx } = this;
    for (const [c, w] of [['rgba(0,0,0,.75)', rim], [colour, width]]) {
      ctx.strokeStyle = c;
      ctx.lineWidth = w;
      ctx.stroke(path);
    }
  }

  label(text, p, off = 8) {
    const { ctx, desk: { view } } = this;
    const [u, v] = view.toScreen(p);
    this.onScreen();
    this.setFont(600, 12);
    ctx.textAlign = 'left';
    ctx.textBaseline = 'alphabetic';
    haloed(ctx, text, u + off, v - off, '#fff');
  }

  /** Dimensions as a drawing shows them: thin lines with end ticks, legs set off from the edge, text along. */
  dimensions() {
    const { ctx, desk } = this;
    const dims = desk.shownDims();
    if (!dims.length) return;
    const { view } = desk;
    const boxes = [];
    /** @type {Px[][]} */
    const drawn = [];
    this.onScreen();
    ctx.globalAlpha = desk.old ? 0.5 : 1;
    for (const dim of dims) {
      let a = view.toScreen(dim.from);
      let b = view.toScreen(dim.to);
      const n = Math.hypot(b[0] - a[0], b[1] - a[1]);
      const hot = desk.hot && desk.hot.reading === dim.reading && desk.hot.weld === dim.weld;
      const throat = THROAT.test(dim.reading);
      // Too short to be told apart, or nearly on one that is drawn already.
      if (n < 3 || (!hot && !throat && n < 24)) continue;
      if (!hot && drawn.some(([c, d]) => Math.hypot(c[0] - a[0], c[1] - a[1]) < 12 && Math.hypot(d[0] - b[0], d[1] - b[1]) < 12)) continue;
      drawn.push([a, b]);
      const normal = [-(b[1] - a[1]) / n, (b[0] - a[0]) / n];
      const colour = throat ? '#7CF0CB' : '#F7F1A0';
      const width = throat ? 2 : hot ? 2 : 1.15;
      const ends = [];
      if (OFFSET.test(dim.reading)) {
        const middle = desk.middleOf(dim.weld);
        let away = 1;
        if (middle) {
          const m = view.toScreen(middle);
          away = (m[0] - a[0]) * normal[0] + (m[1] - a[1]) * normal[1] > 0 ? -1 : 1;
        }
        const off = 24 * away;
        for (const p of [a, b]) {
          ends.push([p[0] + normal[0] * 4 * away, p[1] + normal[1] * 4 * away, p[0] + normal[0] * (off + 5 * away), p[1] + normal[1] * (off + 5 * away)]);
        }
        a = [a[0] + normal[0] * off, a[1] + normal[1] * off];
        b = [b[0] + normal[0] * off, b[1] + normal[1] * off];
      } else {
        const t = throat ? 8 : 6;
        for (const p of [a, b]) ends.push([p[0] - normal[0] * t, p[1] - normal[1] * t, p[0] + normal[0] * t, p[1] + normal[1] * t]);
      }
      const slash = [(b[0] - a[0]) / n * 4 + normal[0] * 4, (b[1] - a[1]) / n * 4 + normal[1] * 4];
      for (const [c, w] of [['rgba(0,0,0,.6)', width + 2.4], [colour, width]]) {
        ctx.strokeStyle = c;
        ctx.lineWidth = w;
        ctx.beginPath();
        ctx.moveTo(a[0], a[1]);
        ctx.lineTo(b[0], b[1]);
        for (const e of ends) {
          ctx.moveTo(e[0], e[1]);
          ctx.lineTo(e[2], e[3]);
        }
        if (ends.length && OFFSET.test(dim.reading)) {
          for (const p of [a, b]) {
            ctx.moveTo(p[0] - slash[0], p[1] - slash[1]);
            ctx.lineTo(p[0] + slash[0], p[1] + slash[1]);
          }
        }
        ctx.stroke();
      }
      this.text(dim.text, a, b, { size: throat ? 15 : 12.5, weight: throat ? 650 : 500, colour, boxes, must: hot || throat, outward: /penetration/.test(dim.reading) ? null : true });
    }
    ctx.globalAlpha = 1;
  }

  /**
   * A text along a line, above or below it and readable from below or right; where the line is too short, beyond one
   * of its ends. Left out where it would lie on another, unless it must be there.
   */
  text(text, a, b, { size = 12.5, weight = 500, colour = '#fff', boxes = [], must = false, side = 1, outward = false } = {}) {
    const { ctx, desk: { view } } = this;
    this.onScreen();
    this.setFont(weight, size);
    const sized = `${weight} ${size} ${text}`;
    let w = this.widths.get(sized);
    if (w === undefined) {
      if (this.widths.size > 500) this.widths.clear();
      w = ctx.measureText(text).width;
      this.widths.set(sized, w);
    }
    const n = Math.hypot(b[0] - a[0], b[1] - a[1]) || 1;
    const along = [(b[0] - a[0]) / n, (b[1] - a[1]) / n];
    let turn = Math.atan2(along[1], along[0]);
    if (turn > Math.PI / 2 + 0.01) turn -= Math.PI;
    if (turn <= -Math.PI / 2 + 0.01) turn += Math.PI;
    const up = [Math.sin(turn), -Math.cos(turn)];
    const half = size / 2 + 1;
    /** Candidates: the middle of the text and its turn. */
    const tries = [];
    if (n > w + 10) {
      for (const lift of [half + 2, -(half + 3)]) {
        for (const t of [0.5, 0.3, 0.7]) {
          tries.push([a[0] + (b[0] - a[0]) * t + up[0] * lift * side, a[1] + (b[1] - a[1]) * t + up[1] * lift * side, turn]);
        }
      }
    }
    for (const [end, sign] of outward === null ? [] : outward ? [[b, 1]] : [[b, 1], [a, -1]]) {
      const d = 8 + Math.abs(along[0]) * (w / 2) + Math.abs(along[1]) * half;
      tries.push([end[0] + sign * along[0] * d, end[1] + sign * along[1] * d, 0]);
    }
    if (n <= w + 10 && must) for (const sign of [1, -1]) tries.push([(a[0] + b[0]) / 2 + up[0] * sign * (half + 3), (a[1] + b[1]) / 2 + up[1] * sign * (half + 3), turn]);
    const boxOf = ([x, y, t]) => {
      const c = Math.abs(Math.cos(t));
      const q = Math.abs(Math.sin(t));
      const rx = (c * w) / 2 + q * half;
      const ry = (q * w) / 2 + c * half;
      return [x - rx, y - ry, x + rx, y + ry];
    };
    const free = (box) => !boxes.some((o) => box[0] < o[2] && box[2] > o[0] && box[1] < o[3] && box[3] > o[1])
      && box[2] > 0 && box[3] > 0 && box[0] < view.w && box[1] < view.h;
    const found = tries.find((t) => free(boxOf(t))) ?? (must ? tries[0] : null);
    if (!found) return;
    boxes.push(boxOf(found));
    const [c, q] = [Math.cos(found[2]) * this.k, Math.sin(found[2]) * this.k];
    ctx.setTransform(c, q, -q, c, (found[0] + this.margin) * this.k, (found[1] + this.margin) * this.k);
    ctx.textAlign = 'center';
    ctx.textBaseline = 'middle';
    haloed(ctx, text, 0, 0, colour);
    this.onScreen();
  }

  /** The magnifier beside a finger. */
  paintLoupe() {
    const { desk, loupe } = this;
    const shown = desk.loupe;
    if (!shown) {
      if (desk.view.closer) {
        loupe.style.transform = AWAY;
        desk.view.closer = null;
      }
      return;
    }
    const { view } = desk;
    const size = LOUPE;
    const k = 2;
    const s = Math.max(view.s * 2.5, 1.2);
    view.closer = { p: shown.p, s };
    const ctx = loupe.getContext('2d');
    ctx.setTransform(1, 0, 0, 1, 0, 0);
    ctx.fillStyle = '#000';
    ctx.fillRect(0, 0, loupe.width, loupe.height);
    view.paint(ctx, shown.p, s * k);
    // The lines beside it, at the loupe's scale.
    const line = desk.marks.line(desk.line);
    const c = (size * k) / 2;
    ctx.setTransform(s * k, 0, 0, s * k, c - shown.p[0] * s * k, c - shown.p[1] * s * k);
    const strokeHere = (path, look) => {
      ctx.strokeStyle = look.colour;
      ctx.setLineDash([]);
      ctx.lineWidth = 1.4 / s;
      ctx.stroke(path);
    };
    if (line) for (const path of this.pathsFor(line)) strokeHere(path, LOOK[line.kind]);
    if (line && desk.drawing && desk.cursor && line.points.length && !desk.drag) {
      const from = line.points[line.points.length - 1];
      strokeHere(pathOf((line.guided && desk.paths.walk(from, desk.cursor)) || [from, desk.cursor]), LOOK[line.kind]);
    }
    ctx.setTransform(k, 0, 0, k, 0, 0);
    const m = size / 2;
    for (const [colour, width] of [['rgba(0,0,0,.8)', 3], ['#fff', 1.2]]) {
      ctx.strokeStyle = colour;
      ctx.lineWidth = width;
      ctx.beginPath();
      for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]]) {
        ctx.moveTo(m + dx * 5, m + dy * 5);
        ctx.lineTo(m + dx * 20, m + dy * 20);
      }
      ctx.stroke();
    }
    const [u, v] = shown.finger;
    const gap = 44;
    let left = u - size / 2;
    let top = v - size - gap;
    if (top < 4) {
      top = Math.max(4, v - size / 2);
      left = u > view.w / 2 ? u - size - gap : u + gap;
    }
    left = Math.min(Math.max(4, left), view.w - size - 4);
    loupe.style.transform = `translate(${Math.round(left)}px,${Math.round(top)}px)`;
  }
}

/** The loupe's width, and where it is when it is not needed. */
const LOUPE = 148;
const AWAY = 'translate(-400px,0)';

/** Room round the pane that is drawn too, so that a pan has something to show. */
const MARGIN = 24;

function canvas(parent, name, margin) {
  const el = document.createElement('canvas');
  el.className = name;
  el.style.left = `${-margin}px`;
  el.style.top = `${-margin}px`;
  el.setAttribute('aria-hidden', 'true');
  parent.append(el);
  return el;
}

function haloed(ctx, text, x, y, colour) {
  ctx.lineJoin = 'round';
  ctx.strokeStyle = 'rgba(0,0,0,.78)';
  ctx.lineWidth = 3.6;
  ctx.strokeText(text, x, y);
  ctx.fillStyle = colour;
  ctx.fillText(text, x, y);
}

/** @param {Px[]} px @param {boolean} [closed] */
export function pathOf(px, closed = false) {
  const path = new Path2D();
  px.forEach((p, i) => (i ? path.lineTo(p[0], p[1]) : path.moveTo(p[0], p[1])));
  if (closed) path.closePath();
  return path;
}

/** The two points of a face that lie farthest apart. @param {Px[]} p */
function farthest(p) {
  let best = [p[0], p[1]];
  let most = -1;
  for (let i = 0; i < p.length; i += 1) {
    for (let j = i + 1; j < p.length; j += 1) {
      const d = (p[i][0] - p[j][0]) ** 2 + (p[i][1] - p[j][1]) ** 2;
      if (d > most) [most, best] = [d, [p[i], p[j]]];
    }
  }
  return best;
}
