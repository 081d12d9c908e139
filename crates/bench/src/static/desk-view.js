// The photo: pan, zoom, and its tiles. Each tile is a small canvas of its own; tiles and marks are laid out for one
// place and zoom (the base), and while the photo moves only the world that holds them is moved: next to no script.
// Tile edges are laid on whole screen pixels: no seams.

/** @typedef {import('./desk-marks.js').Px} Px */

const TILE = 512;
const AT_ONCE = 6;
const MOST_KEPT = 72;
const PER_FRAME = 2;

export class View {
  /**
   * @param {HTMLElement} pane
   * @param {{hash: string, width: number, height: number, levels: number}} photo
   */
  constructor(pane, photo) {
    this.pane = pane;
    this.photo = photo;
    this.s = 1;
    this.tx = 0;
    this.ty = 0;
    this.w = 1;
    this.h = 1;
    this.dpr = 1;
    this.local = false;
    this.base = { s: 1, tx: 0, ty: 0 };
    this.world = document.createElement('div');
    this.world.className = 'world';
    pane.append(this.world);
    this.layer = document.createElement('div');
    this.layer.className = 'photo';
    this.layer.setAttribute('aria-hidden', 'true');
    this.world.append(this.layer);
    /** @type {Map<string, {el: HTMLCanvasElement|null, size?: {width: number, height: number}, level: number, x: number, y: number, state: string, used: number}>} */
    this.tiles = new Map();
    this.loading = 0;
    /** Tiles that have come and do not hang yet. @type {{tile: any, bitmap: ImageBitmap}[]} */
    this.come = [];
    this.clockwork = 0;
    /** A place that shall be seen finer than the view needs (the loupe). @type {{p: Px, s: number}|null} */
    this.closer = null;
    this.asked = 0;
    this.failed = false;
    /** Called when the picture has to be laid out again. */
    this.onchange = () => {};
    this.fitted = true;
    this.touched = false;
  }

  /** @param {Px} p @returns {Px} */
  toScreen(p) { return [(p[0] + 0.5) * this.s + this.tx, (p[1] + 0.5) * this.s + this.ty]; }
  /** @param {Px} u @returns {Px} */
  toPhoto(u) { return [(u[0] - this.tx) / this.s - 0.5, (u[1] - this.ty) / this.s - 0.5]; }

  resize() {
    const { clientWidth: w, clientHeight: h } = this.pane;
    this.dpr = window.devicePixelRatio || 1;
    if (w === 0 || h === 0 || (w === this.w && h === this.h)) return;
    const middle = this.toPhoto([this.w / 2, this.h / 2]);
    const wider = w !== this.w;
    this.w = w;
    this.h = h;
    // What stands under the photo grows and shrinks with what it says: the photo stays where the hand left it.
    if (this.fitted && (wider || !this.touched)) this.fit();
    else if (wider) this.centre(middle);
    else this.onchange();
    this.wantSoon();
  }

  get least() { return 0.4 * Math.min(this.w / this.photo.width, this.h / this.photo.height); }
  get most() { return Math.max(12, 4 * this.least); }

  fit() {
    const pad = Math.min(16, 0.03 * this.w);
    const { width, height } = this.photo;
    this.s = Math.min((this.w - 2 * pad) / width, (this.h - 2 * pad) / height);
    this.tx = (this.w - width * this.s) / 2;
    this.ty = (this.h - height * this.s) / 2;
    this.fitted = true;
    this.onchange();
  }

  /** Shows a box of the photo with some room around it. */
  show(x0, y0, x1, y1) {
    const s = Math.min((this.w * 0.8) / Math.max(x1 - x0, 20), (this.h * 0.8) / Math.max(y1 - y0, 20));
    this.s = Math.min(Math.max(s, this.least), this.most);
    this.fitted = false;
    this.centre([(x0 + x1) / 2, (y0 + y1) / 2]);
  }

  /** @param {Px} p */
  centre(p) {
    this.tx = this.w / 2 - (p[0] + 0.5) * this.s;
    this.ty = this.h / 2 - (p[1] + 0.5) * this.s;
    this.hem();
  }

  panBy(dx, dy) {
    this.tx += dx;
    this.ty += dy;
    this.fitted = false;
    this.hem();
  }

  zoomAt(u, v, factor) {
    const s = Math.min(Math.max(this.s * factor, this.least), this.most);
    const f = s / this.s;
    this.tx = u - (u - this.tx) * f;
    this.ty = v - (v - this.ty) * f;
    this.s = s;
    this.fitted = false;
    this.hem();
  }

  /** Keeps the middle of the pane over the photo. */
  hem() {
    const { width, height } = this.photo;
    this.tx = Math.min(Math.max(this.tx, this.w / 2 - width * this.s), this.w / 2);
    this.ty = Math.min(Math.max(this.ty, this.h / 2 - height * this.s), this.h / 2);
    this.onchange();
  }

  /** Brings a place into view if it is not. @param {Px} p */
  reveal(p) {
    const [u, v] = this.toScreen(p);
    const m = 40;
    if (u < m || v < m || u > this.w - m || v > this.h - m) {
      this.fitted = false;
      this.centre(p);
    }
  }

  levelFor(s) {
    const k = Math.floor(Math.log2(1 / (s * this.dpr)) + 0.3);
    return Math.min(Math.max(k, 0), this.photo.levels - 1);
  }

  setLocal(local) {
    if (local === this.local) return;
    this.local = local;
    for (const tile of this.tiles.values()) tile.el?.remove();
    this.tiles.clear();
    this.wantSoon();
  }

  /** Has the photo moved from where tiles and marks are laid out? */
  get away() {
    const { s, tx, ty } = this.base;
    return s !== this.s || tx !== this.tx || ty !== this.ty;
  }

  /** So far that it has to be laid out again although it still moves: seldom, since that is what a pinch costs. */
  get far() {
    const f = this.s / this.base.s;
    const middle = [(this.w / 2 - this.base.tx) / this.base.s, (this.h / 2 - this.base.ty) / this.base.s];
    const off = Math.max(Math.abs(middle[0] * this.s + this.tx - this.w / 2), Math.abs(middle[1] * this.s + this.ty - this.h / 2));
    return f > 2.5 || f < 0.4 || off > 0.4 * Math.min(this.w, this.h);
  }

  /** Moves the world: all that a frame of a pan or pinch does. */
  follow() {
    const f = this.s / this.base.s;
    this.world.style.transform = this.away
      ? `matrix(${f},0,0,${f},${this.tx - this.base.tx * f},${this.ty - this.base.ty * f})` : '';
    this.wantSoon();
  }

  /** Takes the present place and zoom as the base, and lays out the tiles for it. */
  rebase() {
    this.base = { s: this.s, tx: this.tx, ty: this.ty };
    this.world.style.transform = '';
    for (const tile of this.tiles.values()) this.lay(tile);
    this.wantSoon();
  }

  /** Puts one tile where it belongs. */
  lay(tile) {
    if (!tile.el || tile.el.hidden) return;
    const { s, tx, ty } = this.base;
    const d = this.dpr;
    const { width, height } = tile.size;
    const f = 2 ** tile.level;
    const left = Math.round((tile.x * TILE * f * s + tx) * d) / d;
    const top = Math.round((tile.y * TILE * f * s + ty) * d) / d;
    const right = Math.round(((tile.x * TILE + width) * f * s + tx) * d) / d;
    const bottom = Math.round(((tile.y * TILE + height) * f * s + ty) * d) / d;
    tile.el.style.transform = `matrix(${(right - left) / width},0,0,${(bottom - top) / height},${left},${top})`;
  }

  /** While the zoom changes no tile is asked for that the next moment would not need; but not for longer than a breath. */
  wantSoon(waited = 0) {
    if (this.clockwork) return;
    const { s } = this;
    this.clockwork = setTimeout(() => {
      this.clockwork = 0;
      if (s !== this.s && waited < 700) this.wantSoon(waited + 110);
      else this.want();
    }, 110);
  }

  /** Tiles of a level that a box of the pane shows. */
  span(level, u0, v0, u1, v1) {
    const f = TILE * 2 ** level;
    const { width, height } = this.photo;
    const out = [];
    const x0 = Math.max(0, Math.floor((u0 - this.tx) / this.s / f));
    const y0 = Math.max(0, Math.floor((v0 - this.ty) / this.s / f));
    const x1 = Math.min(Math.ceil(width / f) - 1, Math.floor((u1 - this.tx) / this.s / f));
    const y1 = Math.min(Math.ceil(height / f) - 1, Math.floor((v1 - this.ty) / this.s / f));
    for (let y = y0; y <= y1; y += 1) for (let x = x0; x <= x1; x += 1) out.push([level, x, y]);
    return out;
  }

  /** Decides which tiles are to be there, and asks for those that are not. */
  want() {
    const coarsest = this.photo.levels - 1;
    const level = this.levelFor(this.s);
    const now = performance.now();
    const visible = this.span(level, 0, 0, this.w, this.h);
    const asked = [...this.span(coarsest, 0, 0, this.w, this.h), ...visible];
    if (this.closer) {
      const [u, v] = this.toScreen(this.closer.p);
      const r = 90 * this.s / this.closer.s;
      asked.push(...this.span(this.levelFor(this.closer.s), u - r, v - r, u + r, v + r));
    }
    const wanted = new Map(asked.map(([k, x, y]) => [`${k}/${x}/${y}`, [k, x, y]]));
    const whole = visible.every(([k, x, y]) => this.tiles.get(`${k}/${x}/${y}`)?.el);
    for (const [key, tile] of this.tiles) {
      if (wanted.has(key)) tile.used = now;
      if (!tile.el) {
        // Not seen any more before it came.
        if (tile.state === 'asked' && !wanted.has(key)) this.tiles.delete(key);
        continue;
      }
      // Other levels stay under the wanted one until it is whole; the coarsest stays for good.
      const hide = tile.level !== coarsest && (whole || tile.level < level) && tile.level !== level;
      if (tile.el.hidden !== hide) {
        tile.el.hidden = hide;
        if (!hide) this.lay(tile);
      }
    }
    this.prune();
    const middle = [(this.w / 2 - this.tx) / this.s, (this.h / 2 - this.ty) / this.s];
    const far = ([k, x, y]) => Math.hypot((x + 0.5) * TILE * 2 ** k - middle[0], (y + 0.5) * TILE * 2 ** k - middle[1]);
    this.queue = [...wanted.values()]
      .filter(([k, x, y]) => {
        const tile = this.tiles.get(`${k}/${x}/${y}`);
        return !tile || tile.state === 'failed' && now - tile.used > 5000;
      })
      .sort((a, b) => (b[0] === coarsest) - (a[0] === coarsest) || far(a) - far(b));
    this.pull();
  }

  pull() {
    while (this.loading < AT_ONCE && this.queue?.length) this.load(this.queue.shift());
  }

  async load([level, x, y]) {
    const key = `${level}/${x}/${y}`;
    const tile = { el: null, level, x, y, state: 'asked', used: performance.now() };
    const local = this.local;
    this.tiles.set(key, tile);
    this.loading += 1;
    this.asked += 1;
    try {
      const answer = await fetch(`/photo/${this.photo.hash}/tile/${level}/${x}/${y}${local ? '?view=local' : ''}`);
      if (!answer.ok) throw new Error(String(answer.status));
      const bitmap = await createImageBitmap(await answer.blob());
      if (this.local === local && this.tiles.get(key) === tile) {
        tile.size = { width: bitmap.width, height: bitmap.height };
        this.come.push({ tile, bitmap });
        if (this.come.length === 1) requestAnimationFrame(() => this.hang());
        this.failed = false;
      }
    } catch {
      tile.state = 'failed';
      this.failed = true;
      setTimeout(() => this.wantSoon(), 5200);
    } finally {
      this.loading -= 1;
      this.pull();
    }
  }

  /** Hangs tiles that have come: a few in a frame, so that no frame waits for many. */
  hang() {
    for (const { tile, bitmap } of this.come.splice(0, PER_FRAME)) {
      if (this.tiles.get(`${tile.level}/${tile.x}/${tile.y}`) !== tile) {
        bitmap.close();
        continue;
      }
      tile.el = canvasOf(bitmap);
      tile.el.style.zIndex = String(20 - tile.level);
      tile.state = 'there';
      this.lay(tile);
      this.layer.append(tile.el);
    }
    if (this.come.length) requestAnimationFrame(() => this.hang());
    else this.wantSoon();
  }

  /** Lets the tiles go that were not seen for longest. */
  prune() {
    const there = [...this.tiles].filter(([, t]) => t.el);
    if (there.length <= MOST_KEPT) return;
    const now = performance.now();
    there.sort((a, b) => a[1].used - b[1].used);
    for (const [key, tile] of there.slice(0, there.length - MOST_KEPT)) {
      if (now - tile.used < 1000 || tile.level === this.photo.levels - 1) continue;
      tile.el.remove();
      this.tiles.delete(key);
    }
  }

  /**
   * Paints the photo around a place into another canvas (the loupe).
   * @param {CanvasRenderingContext2D} to @param {Px} p @param {number} s screen pixels of `to` for a photo pixel
   */
  paint(to, p, s) {
    const { width, height } = to.canvas;
    const x0 = p[0] + 0.5 - width / 2 / s;
    const y0 = p[1] + 0.5 - height / 2 / s;
    // The level that fits and is there in whole; else coarser ones under what there is.
    const fit = Math.min(Math.max(Math.floor(Math.log2(1 / s) + 0.3), 0), this.photo.levels - 1);
    let there = [...this.tiles.values()].filter((t) => t.el).sort((a, b) => b.level - a.level);
    for (let level = fit; level < this.photo.levels; level += 1) {
      const [u0, v0] = this.toScreen([x0, y0]);
      const r = this.s / s;
      if (this.span(level, u0, v0, u0 + width * r, v0 + height * r).every(([k, x, y]) => this.tiles.get(`${k}/${x}/${y}`)?.el)) {
        there = there.filter((t) => t.level === level);
        break;
      }
    }
    for (const tile of there) {
      const f = 2 ** tile.level;
      const left = (tile.x * TILE * f - x0) * s;
      const top = (tile.y * TILE * f - y0) * s;
      const w = tile.size.width * f * s;
      const h = tile.size.height * f * s;
      if (left > width || top > height || left + w < 0 || top + h < 0) continue;
      // Only the part that shows: a canvas of which little is drawn costs little.
      const sx = Math.max(0, Math.floor(-left / (f * s)));
      const sy = Math.max(0, Math.floor(-top / (f * s)));
      const sw = Math.min(tile.size.width - sx, Math.ceil((width - Math.max(left, 0)) / (f * s)) + 1);
      const sh = Math.min(tile.size.height - sy, Math.ceil((height - Math.max(top, 0)) / (f * s)) + 1);
      if (sw <= 0 || sh <= 0) continue;
      to.drawImage(tile.el, sx, sy, sw, sh, left + sx * f * s, top + sy * f * s, sw * f * s, sh * f * s);
    }
  }
}

/** @param {ImageBitmap} bitmap */
function canvasOf(bitmap) {
  const el = document.createElement('canvas');
  el.width = bitmap.width;
  el.height = bitmap.height;
  const hand = el.getContext('bitmaprenderer');
  if (hand) {
    hand.transferFromImageBitmap(bitmap);
  } else {
    el.getContext('2d').drawImage(bitmap, 0, 0);
    bitmap.close();
  }
  return el;
}
