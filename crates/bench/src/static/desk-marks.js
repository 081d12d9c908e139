// What is marked on the photo, with its history. The value has exactly the fields of a reading file;
// fields this page does not know stay as they are.

/** @typedef {[number, number]} Px a place on the photo: x right, y down, pixel centres at integers */
/**
 * One line of points, whichever field it stands in.
 * @typedef {object} Line
 * @property {string} id     `fused/0`, `plates/base`, `scale/1`
 * @property {string} kind   scale, corners, plate, fused, affected, pore, crack, unfused
 * @property {string} layer  the layer it is listed under
 * @property {string|null} side
 * @property {string} name   words for people
 * @property {Px[]} points
 * @property {number[]} hold
 * @property {boolean} closed
 * @property {boolean} guided  follows the line that the photo shows
 * @property {number} least  points that it needs
 * @property {number} most   points that it can have
 */
/**
 * Something that can be marked.
 * @typedef {object} Layer
 * @property {string} key
 * @property {string} kind
 * @property {string} field   field of the reading file
 * @property {string|null} side
 * @property {string} name
 * @property {boolean} need   no reading without it
 * @property {boolean} many   several lines of it
 */

export const KINDS = ['fused', 'affected', 'pore', 'crack', 'unfused'];
const CLOSED = new Set(['fused', 'affected', 'pore']);
const ONE = { pore: 'pore', crack: 'crack', unfused: 'lack of fusion', scale: 'scale' };
const SIDES = { tee: ['left', 'right'], butt: ['top', 'bottom'], bead: [] };
const FACES = {
  bead: [['surface', 'Plate surface', true]],
  butt: [['surface', 'Top surface', true], ['bottom', 'Bottom surface', true], ['joint_line', 'Joint line', true]],
};
const FACE_NAMES = {
  surface: 'Top surface', bottom: 'Bottom surface', joint_line: 'Joint line', base: 'Base surface',
  upright: 'Upright face', upright_left: 'Upright, left face', upright_right: 'Upright, right face',
  upright_far: 'Upright, far face',
};
/** Texts of a scale, of which one says its length. */
export const SCALE_TEXTS = ['length', 'thickness', 'per_pixel'];

/** @param {Px} p @returns {Px} */
export const round = (p) => [Math.round(p[0] * 100) / 100, Math.round(p[1] * 100) / 100];
export const clone = (value) => JSON.parse(JSON.stringify(value));

/** Same value, whatever the order of its fields. */
export function same(a, b) {
  if (a === b) return true;
  if (typeof a !== 'object' || typeof b !== 'object' || !a || !b || Array.isArray(a) !== Array.isArray(b)) return false;
  const [ka, kb] = [Object.keys(a), Object.keys(b)];
  return ka.length === kb.length && ka.every((k) => k in b && same(a[k], b[k]));
}

/** How a scale says its length: points, bar, thickness or per_pixel. */
export function scaleWay(item) {
  if ('per_pixel' in item) return 'per_pixel';
  if ('thickness' in item) return 'thickness';
  return 'read' in item ? 'bar' : 'points';
}

const filled = (text) => typeof text === 'string' && text.trim() !== '';
/** Nothing is missing in this scale. */
export function scaleIsWhole(item) {
  if (scaleWay(item) === 'per_pixel') return filled(item.per_pixel);
  return !!(item.from && item.to) && (filled(item.length) || filled(item.thickness));
}

/** Four corners of a rectangle, and both of its sides: a photo taken askew can be straightened by them, and has its scale. */
export const isStraightened = (value) => value.straighten?.corners?.length === 4 && [0, 1].every((i) => filled(value.straighten.size?.[i]));

/** Marks as they are kept: without texts that are still empty and lines without a point. */
export const kept = (value) => stripped(clone(value));

/** Takes them out of a value. */
function stripped(out) {
  const drop = (object) => {
    for (const [key, v] of Object.entries(object)) {
      if (v === null || v === '' || (Array.isArray(v) && v.length === 0)) delete object[key];
    }
  };
  for (const item of out.scale ?? []) drop(item);
  if (out.scale) out.scale = out.scale.filter((item) => Object.keys(item).some((k) => k !== 'read' && k !== 'u'));
  for (const name of ['plates', 'camera', 'cut']) {
    if (!out[name]) continue;
    drop(out[name]);
    if (Object.keys(out[name]).length === 0) delete out[name];
  }
  const { corners, size } = out.straighten ?? {};
  if (!corners?.length && !size?.some(filled)) delete out.straighten;
  for (const kind of KINDS) {
    if (!out[kind]) continue;
    out[kind] = out[kind].filter((o) => o.points?.length);
    out[kind].forEach(drop);
  }
  drop(out);
  return out;
}

/**
 * Marks that can be read already: lines too short for a reading are left out, and an outline that is still being drawn.
 * @param {object} value @param {string|null} [drawing] the line being drawn
 */
export function readable(value, drawing = null) {
  const whole = clone(value);
  const [field, at] = (drawing ?? '').split('/');
  if (KINDS.includes(field) && whole[field]?.[+at]) whole[field][+at].points = [];
  const out = stripped(whole);
  if (out.scale) out.scale = out.scale.filter(scaleIsWhole);
  if (!isStraightened(out)) delete out.straighten;
  for (const [face, points] of Object.entries(out.plates ?? {})) {
    if (face in FACE_NAMES && points.length < 2) delete out.plates[face];
  }
  for (const kind of KINDS) {
    if (out[kind]) out[kind] = out[kind].filter((o) => o.points.length >= (CLOSED.has(kind) ? 3 : 2));
  }
  return stripped(out);
}

export class Marks {
  /** @param {object} value */
  constructor(value) {
    this.value = value;
    /** @type {{value: object, words: string}[]} */
    this.past = [];
    /** @type {{value: object, words: string}[]} */
    this.future = [];
    this.group = '';
    this.version = 0;
    /** Welded from both sides? null: not said. */
    this.bothSaid = null;
    /** @type {(words: string, fresh: boolean) => void} `fresh`: not one more step of the same drag */
    this.onchange = () => {};
  }

  get joint() { return this.value.joint ?? 'tee'; }

  /** Two welds? From the marks, or as said; null when neither tells. */
  get both() {
    const { plates = {}, fused = [] } = this.value;
    if (this.joint === 'bead') return false;
    const faces = this.joint === 'tee' ? [plates.upright_left, plates.upright_right] : [];
    const sides = SIDES[this.joint].filter((side) => fused.some((o) => o.side === side));
    if (sides.length > 1) return true;
    if (this.bothSaid !== null) return this.bothSaid;
    if (faces.some((f) => f?.length)) return true;
    if (plates.upright?.length || plates.upright_far?.length) return false;
    if (fused.length === 1 && this.joint === 'butt' && sides[0] === 'top') return false;
    return null;
  }

  /** Everything that can be marked for this joint. @returns {Layer[]} */
  layers() {
    const joint = this.joint;
    const { plates = {}, fused = [], affected = [] } = this.value;
    /** @type {Layer[]} */
    const out = [{ key: 'scale', kind: 'scale', field: 'scale', side: null, name: 'Scale', need: true, many: true }];
    out.push({ key: 'straighten', kind: 'corners', field: 'straighten', side: null, name: 'Rectangle to straighten by', need: false, many: false });
    const both = this.both === true;
    const face = (f, name, need) => out.push({ key: `plates.${f}`, kind: 'plate', field: `plates.${f}`, side: null, name, need, many: false });
    if (joint === 'tee') {
      face('base', 'Base surface', true);
      if (both) {
        face('upright_left', FACE_NAMES.upright_left, true);
        face('upright_right', FACE_NAMES.upright_right, true);
      } else {
        face('upright', FACE_NAMES.upright, true);
        face('upright_far', FACE_NAMES.upright_far, false);
      }
    } else {
      for (const [f, name, need] of FACES[joint] ?? FACES.bead) face(f, name, need);
    }
    // A face that is marked but not asked for is not hidden.
    for (const f of Object.keys(FACE_NAMES)) {
      if (plates[f]?.length && !out.some((l) => l.key === `plates.${f}`)) face(f, FACE_NAMES[f], false);
    }
    const zones = (kind, list, word, need) => {
      const taken = new Set();
      const sides = both ? SIDES[joint] : joint === 'butt' ? ['top'] : [null];
      for (const side of sides) {
        let at = list.findIndex((o, i) => !taken.has(i) && (o.side ?? null) === side);
        if (at < 0 && sides.length === 1 && list.length) at = 0;
        taken.add(at);
        out.push({
          key: side ? `${kind}.${side}` : kind, kind, field: kind, side, index: at,
          name: both || side === 'bottom' ? `${word}, ${side}` : word, need, many: false,
        });
      }
      list.forEach((o, i) => {
        if (taken.has(i) || !o.points?.length) return;
        const name = `${word}, ${o.side ?? 'side not said'} (${i + 1})`;
        out.push({ key: `${kind}#${i}`, kind, field: kind, side: o.side ?? null, index: i, name, need: false, many: false });
      });
    };
    zones('fused', fused, 'Fused zone', true);
    zones('affected', affected, 'Heat-affected zone', false);
    const several = (kind, name) => out.push({ key: kind, kind, field: kind, side: null, name, need: false, many: true });
    several('pore', 'Pores');
    several('crack', 'Cracks');
    several('unfused', 'Lack of fusion');
    return out;
  }

  /** @param {string} key */
  layer(key) { return this.layers().find((l) => l.key === key) ?? null; }

  /** Every line, also those without a point yet if they are in the value. @returns {Line[]} */
  lines() {
    if (this.cached?.version === this.version) return this.cached.lines;
    /** @type {Line[]} */
    const out = [];
    const v = this.value;
    const layers = this.layers();
    (v.scale ?? []).forEach((item, i) => {
      if (scaleWay(item) === 'per_pixel') return;
      const points = [item.from, item.to].filter(Boolean);
      const name = v.scale.length > 1 ? `scale ${i + 1}` : 'scale';
      out.push({ id: `scale/${i}`, kind: 'scale', layer: 'scale', side: null, name, points, hold: [], closed: false, guided: false, least: 2, most: 2 });
    });
    if (v.straighten?.corners) {
      out.push({ id: 'straighten/corners', kind: 'corners', layer: 'straighten', side: null, name: 'rectangle', points: v.straighten.corners, hold: [], closed: true, guided: false, least: 4, most: 4 });
    }
    for (const face of Object.keys(FACE_NAMES)) {
      const points = v.plates?.[face];
      if (!points) continue;
      const name = (layers.find((l) => l.key === `plates.${face}`)?.name ?? FACE_NAMES[face]).toLowerCase();
      const most = face === 'joint_line' ? 2 : 99;
      out.push({ id: `plates/${face}`, kind: 'plate', layer: `plates.${face}`, side: null, name, points, hold: [], closed: false, guided: false, least: 2, most });
    }
    for (const kind of KINDS) {
      (v[kind] ?? []).forEach((o, i) => {
        const layer = layers.find((l) => l.field === kind && l.index === i) ?? layers.find((l) => l.key === kind);
        const many = ONE[kind];
        const name = many ? `${many} ${i + 1}` : (layer?.name ?? kind).toLowerCase();
        out.push({
          id: `${kind}/${i}`, kind, layer: layer?.key ?? kind, side: o.side ?? null, name, points: o.points ?? [],
          hold: o.hold ?? [], closed: CLOSED.has(kind), guided: o.trace !== 'straight',
          least: CLOSED.has(kind) ? 3 : 2, most: 999,
        });
      });
    }
    this.cached = { version: this.version, lines: out };
    return out;
  }

  /** @param {string|null} id */
  line(id) { return id ? this.lines().find((l) => l.id === id) ?? null : null; }

  /** Lines of a layer. @param {string} key */
  linesOf(key) { return this.lines().filter((l) => l.layer === key); }

  /**
   * Changes the value. Edits of one group (a drag, a run of arrow keys) are undone together.
   * @param {string} words what happened, for undo and for a screen reader
   * @param {(draft: any) => void} change
   * @param {string} [group]
   */
  edit(words, change, group = '') {
    const fresh = !group || group !== this.group;
    if (fresh) {
      this.past.push({ value: clone(this.value), words });
      if (this.past.length > 300) this.past.shift();
    }
    this.group = group;
    this.future.length = 0;
    change(this.value);
    this.version += 1;
    this.onchange(words, fresh);
  }

  endGroup() { this.group = ''; }

  /** @returns {string|null} what was undone */
  undo() { return this.step(this.past, this.future); }
  /** @returns {string|null} */
  redo() { return this.step(this.future, this.past); }

  step(from, to) {
    const entry = from.pop();
    if (!entry) return null;
    to.push({ value: this.value, words: entry.words });
    this.value = entry.value;
    this.group = '';
    this.version += 1;
    this.onchange(from === this.past ? `undone: ${entry.words}` : `redone: ${entry.words}`, true);
    return entry.words;
  }

  /** Makes the line of a layer if there is none; returns its id. Call inside `edit`. */
  static open(draft, layer, scale = 'points') {
    if (layer.kind === 'scale') {
      draft.scale ??= [];
      draft.scale.push(scale === 'bar' ? { read: 'unknown' } : scale === 'thickness' ? { thickness: '' } : {});
      return `scale/${draft.scale.length - 1}`;
    }
    if (layer.kind === 'corners') {
      draft.straighten ??= { corners: [], size: ['', ''] };
      draft.straighten.corners ??= [];
      return 'straighten/corners';
    }
    if (layer.kind === 'plate') {
      const face = layer.field.slice('plates.'.length);
      draft.plates ??= {};
      draft.plates[face] ??= [];
      return `plates/${face}`;
    }
    draft[layer.kind] ??= [];
    const list = draft[layer.kind];
    if (!layer.many && layer.index >= 0) return `${layer.kind}/${layer.index}`;
    const outline = layer.side ? { side: layer.side, points: [] } : { points: [] };
    outline.trace = layer.kind === 'pore' ? 'straight' : 'guided';
    list.push(outline);
    return `${layer.kind}/${list.length - 1}`;
  }

  /** Writes points back where they stand. Call inside `edit`. */
  static put(draft, id, points, hold) {
    const [field, name] = id.split('/');
    if (field === 'scale') {
      const item = draft.scale[+name];
      delete item.from;
      delete item.to;
      if (points[0]) item.from = points[0];
      if (points[1]) item.to = points[1];
    } else if (field === 'plates' || field === 'straighten') {
      draft[field][name] = points;
    } else {
      const outline = draft[field][+name];
      outline.points = points;
      if (hold?.length) outline.hold = hold;
      else delete outline.hold;
    }
  }

  /** @param {string} id @param {number} at @param {Px} p */
  insert(id, at, p, words, group) {
    const line = this.line(id);
    const points = [...line.points];
    points.splice(at, 0, round(p));
    const hold = line.hold.map((i) => (i >= at ? i + 1 : i));
    this.edit(words, (draft) => Marks.put(draft, id, points, hold), group);
  }

  move(id, at, p, words, group) {
    const lines = this.lines();
    const line = this.line(id);
    const points = [...line.points];
    points[at] = round(p);
    this.edit(words, (draft) => {
      Marks.put(draft, id, points, line.hold);
      // Of all lines only this one changes: the others need not be made anew in each frame of a drag.
      this.cached = { version: this.version + 1, lines: lines.map((l) => (l.id === id ? { ...l, points } : l)) };
    }, group);
  }

  remove(id, at, words) {
    const line = this.line(id);
    const points = line.points.filter((_, i) => i !== at);
    const hold = line.hold.filter((i) => i !== at).map((i) => (i > at ? i - 1 : i));
    this.edit(words, (draft) => {
      Marks.put(draft, id, points, hold);
      if (points.length === 0) Marks.drop(draft, id, true);
    });
  }

  toggleHold(id, at, words) {
    const line = this.line(id);
    const hold = line.hold.includes(at) ? line.hold.filter((i) => i !== at) : [...line.hold, at].sort((a, b) => a - b);
    this.edit(words, (draft) => Marks.put(draft, id, line.points, hold));
  }

  /** Takes a whole line away. With `gently` a scale that has a text stays. */
  static drop(draft, id, gently = false) {
    const [field, name] = id.split('/');
    if (field === 'plates') delete draft.plates[name];
    else if (field === 'straighten') {
      if (gently) draft.straighten.corners = [];
      else delete draft.straighten;
    } else if (field === 'scale' && gently && SCALE_TEXTS.some((t) => filled(draft.scale[+name][t]))) return;
    else {
      draft[field].splice(+name, 1);
      if (draft[field].length === 0) delete draft[field];
    }
  }

  clear(id, words) { this.edit(words, (draft) => Marks.drop(draft, id)); }
}
