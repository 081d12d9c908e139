// The guided path: from the cursor back to the point set last, by a map of steps that the server made once for that
// point; and the ways between set points, as traced by the reader or, until then, as walked.

/** @typedef {import('./desk-marks.js').Px} Px */
/** @typedef {import('./desk-marks.js').Line} Line */

const STEPS = [[1, 0], [1, 1], [0, 1], [-1, 1], [-1, 0], [-1, -1], [0, -1], [1, -1]];
const MOST_MAPS = 10;
const key = (p) => `${p[0]},${p[1]}`;
/** Places of a walk. @type {number[]} */
const XS = [];
/** @type {number[]} */
const YS = [];

/** @typedef {{level: number, x0: number, y0: number, w: number, h: number, to: Uint8Array}} PathMap */

export class Paths {
  /** @param {string} hash photo */
  constructor(hash) {
    this.hash = hash;
    /** @type {Map<string, PathMap|'asked'|'failed'>} */
    this.maps = new Map();
    /** Ways between two set points of a kind of line. @type {Map<string, {px: Px[], traced: boolean}>} */
    this.ways = new Map();
    this.asked = 0;
    this.onchange = () => {};
  }

  /** Asks for the map of a set point, once. @param {Px} p @param {number} reach picture pixels */
  async ask(p, reach) {
    const k = key(p);
    if (this.maps.has(k)) return;
    this.maps.set(k, 'asked');
    this.asked += 1;
    try {
      const answer = await fetch(`/photo/${this.hash}/path?x=${p[0]}&y=${p[1]}&reach=${Math.max(1, Math.round(reach))}`);
      if (!answer.ok) throw new Error(String(answer.status));
      const bytes = await answer.arrayBuffer();
      const head = new DataView(bytes);
      const [level, x0, y0, w, h] = [0, 2, 4, 6, 8].map((at) => head.getUint16(at, true));
      this.maps.set(k, { level, x0, y0, w, h, to: new Uint8Array(bytes, 16, w * h) });
      for (const old of this.maps.keys()) {
        if (this.maps.size <= MOST_MAPS) break;
        if (old !== k) this.maps.delete(old);
      }
      this.onchange();
    } catch {
      this.maps.set(k, 'failed');
      setTimeout(() => this.maps.get(k) === 'failed' && this.maps.delete(k), 5000);
    }
  }

  /**
   * The way from a set point to another place along what the photo shows; null where no map reaches.
   * @param {Px} from @param {Px} to @returns {Px[]|null}
   */
  walk(from, to) {
    const n = this.steps(from, to);
    if (!n) return null;
    /** @type {Px[]} */
    const px = [];
    for (let i = n - 1; i >= 0; i -= 1) px.push([XS[i], YS[i]]);
    return px;
  }

  /**
   * The same into XS and YS, from `to` back to `from`: how many places, 0 where no map reaches. A moved point asks for it in
   * each frame, and what is made anew in each frame has to be collected.
   * @param {Px} from @param {Px} to @returns {number}
   */
  steps(from, to) {
    const map = this.maps.get(key(from));
    if (!map || typeof map === 'string') return 0;
    const f = 2 ** map.level;
    let i = Math.floor((to[0] + 0.5) / f) - map.x0;
    let j = Math.floor((to[1] + 0.5) / f) - map.y0;
    if (i < 0 || j < 0 || i >= map.w || j >= map.h) return 0;
    [XS[0], YS[0]] = to;
    let count = 1;
    for (let n = map.w * map.h; n > 0; n -= 1) {
      const step = STEPS[map.to[j * map.w + i]];
      if (!step) break;
      i += step[0];
      j += step[1];
      if (i < 0 || j < 0 || i >= map.w || j >= map.h) break;
      XS[count] = (i + map.x0 + 0.5) * f - 0.5;
      YS[count] = (j + map.y0 + 0.5) * f - 0.5;
      count += 1;
    }
    count = Math.max(count, 2);
    [XS[count - 1], YS[count - 1]] = from;
    smooth(XS, count);
    smooth(YS, count);
    return count;
  }

  /**
   * The way between two neighbouring set points of a line.
   * @param {Line} line @param {Px} a @param {Px} b @returns {{px: Px[], traced: boolean, straight: boolean}}
   */
  between(line, a, b) {
    if (!line.guided) return { px: [a, b], traced: true, straight: true };
    const k = `${line.kind}|${key(a)}|${key(b)}`;
    const way = this.ways.get(k);
    if (way) return { ...way, straight: false };
    const back = this.walk(b, a);
    const px = this.walk(a, b) ?? (back ? back.reverse() : null);
    if (!px) return { px: [a, b], traced: false, straight: true };
    this.ways.set(k, { px, traced: false });
    return { px, traced: false, straight: false };
  }

  /** Draws a way of which one end is being moved, from its first place on: not kept. @param {boolean} moved the second one moves */
  live(path, line, a, b, moved) {
    const n = line.guided ? (moved ? this.steps(a, b) : this.steps(b, a)) : 0;
    if (!n) path.lineTo(b[0], b[1]);
    else if (moved) for (let i = n - 2; i >= 0; i -= 1) path.lineTo(XS[i], YS[i]);
    else for (let i = 1; i < n; i += 1) path.lineTo(XS[i], YS[i]);
  }

  /**
   * Takes over a traced outline: cuts it at the set points.
   * @param {Line} line as it was sent @param {Px[]} px
   */
  absorb(line, px) {
    const n = line.points.length;
    if (!line.guided || n < line.least || px.length < n) return;
    let ring = px;
    const places = () => line.points.map((p) => nearest(ring, p));
    // Set points stand along the outline in their order, or all against it; else it cannot be cut at them.
    const ordered = (at) => (line.closed
      ? at.reduce((sum, from, i) => sum + ((at[(i + 1) % n] - from + ring.length) % ring.length), 0) === ring.length
      : at.every((place, i) => i === 0 || place >= at[i - 1]));
    let at = places();
    if (!ordered(at)) {
      ring = [...px].reverse();
      at = places();
      if (!ordered(at)) return;
    }
    for (let i = 0; i < (line.closed ? n : n - 1); i += 1) {
      const [from, to] = [at[i], at[(i + 1) % n]];
      const part = from <= to ? ring.slice(from, to + 1) : [...ring.slice(from), ...ring.slice(0, to + 1)];
      if (part.length > 1) this.ways.set(`${line.kind}|${key(line.points[i])}|${key(line.points[(i + 1) % n])}`, { px: part, traced: true });
    }
    if (this.ways.size > 400) for (const old of [...this.ways.keys()].slice(0, 200)) this.ways.delete(old);
  }
}

/** @param {Px[]} px @param {Px} p */
function nearest(px, p) {
  let best = 0;
  let least = Infinity;
  for (let i = 0; i < px.length; i += 1) {
    const d = (px[i][0] - p[0]) ** 2 + (px[i][1] - p[1]) ** 2;
    if (d < least) [least, best] = [d, i];
  }
  return best;
}

/** Takes the stairs of the map out, ends kept: one, two, one, twice over. @param {number[]} at @param {number} n so many */
function smooth(at, n) {
  for (let round = 0; round < 2; round += 1) {
    let before = at[0];
    for (let i = 1; i < n - 1; i += 1) {
      const here = at[i];
      at[i] = (before + 2 * here + at[i + 1]) / 4;
      before = here;
    }
  }
}
