// The section desk: points on a photo of an etched section, and the throat with its doubt as they move.
//
// | look for | in |
// |---|---|
// | the marks, undo and redo | desk-marks.js |
// | the photo's tiles, pan and zoom | desk-view.js |
// | lines, points, dimensions, loupe | desk-draw.js |
// | mouse, pen, finger, keys | desk-hand.js |
// | the guided path | desk-path.js |
// | what to do next, drawn examples | desk-guide.js |
// | the sheet of words and figures | desk-sheet.js |
// | readings and saving | desk-ask.js |

import { KINDS, Marks, clone, same, scaleWay } from './desk-marks.js';
import { View } from './desk-view.js';
import { Draw } from './desk-draw.js';
import { Hand } from './desk-hand.js';
import { Paths } from './desk-path.js';
import { Reader, Saver, send } from './desk-ask.js';
import { Sheet } from './desk-sheet.js';
import { enough, next } from './desk-guide.js';

/** @typedef {import('./desk-marks.js').Px} Px */

const json = (id) => {
  const el = document.getElementById(id);
  return el ? JSON.parse(el.textContent ?? 'null') : null;
};

class Desk {
  /** @param {HTMLElement} main */
  constructor(main) {
    const data = main.dataset;
    this.main = main;
    this.section = data.section;
    this.name = data.name ?? '';
    this.author = data.author ?? '';
    this.learned = json('learned');
    /** Another section that was set on this very photo. */
    this.twin = data.twin ?? '';
    this.photo = { hash: data.photo, width: +data.width, height: +data.height, levels: Math.max(1, +data.levels) };
    this.marks = new Marks(json('marks') ?? {});
    this.coarse = matchMedia('(pointer: coarse)').matches;
    /** What is being marked. @type {string|null} */
    this.layer = null;
    /** @type {string|null} */
    this.line = null;
    this.drawing = false;
    this.more = false;
    this.picked = null;
    this.hover = null;
    /** @type {Px|null} */
    this.cursor = null;
    this.drag = null;
    this.loupe = null;
    this.aim = false;
    this.proposing = false;
    this.ghosts = null;
    this.answer = null;
    this.error = null;
    this.refusedSave = null;
    this.old = false;
    this.theirs = null;
    this.hot = null;
    this.flash = null;
    this.waysVersion = 0;
    this.dimsShown = 'main';
    this.middles = new Map();
    this.scaleWay = 'points';
    this.due = false;
    /** What is to be drawn again, and what was last drawn in a drag. */
    this.stale = { still: true, live: true, figures: false };
    this.last = '';
    this.settled = false;
    /** Where a dragged point is to be, once a frame. @type {Px|null} */
    this.pending = null;
    this.answers = 0;
    /** Outlines of the newest answer, from which the ways are still to be taken. */
    this.traced = null;

    this.sheet = new Sheet(main, this);
    this.view = new View(this.sheet.pane, this.photo);
    this.draw = new Draw(this.sheet.pane, this);
    this.hand = new Hand(this.sheet.pane, this);
    this.paths = new Paths(this.photo.hash);
    this.saver = new Saver(this, +data.revision);
    this.reader = new Reader(this);

    this.view.onchange = () => this.touch('view');
    this.paths.onchange = () => {
      this.waysVersion += 1;
      this.touch(this.drag ? 'live' : 'all');
    };
    this.marks.onchange = (words, fresh) => this.changed(words, fresh);
    // What was said here; else what the joint says.
    this.marks.bothSaid = this.recall('both') ?? (data.both ? data.both === 'true' : null);

    new ResizeObserver(() => {
      this.view.resize();
      this.touch();
    }).observe(this.sheet.pane);
    addEventListener('keydown', (e) => this.keys(e));
    this.left = this.saver.left();
    this.view.resize();
    this.view.fit();
    this.sheet.start();
    if (!next(this.marks, this).done) this.goNext();
    this.reader.want();
    this.sheet.refresh();
    this.touch();
  }

  // -- frames

  /**
   * Something on the photo changed: one frame is asked for.
   * @param {'all'|'still'|'live'|'figures'|'view'} [what] `view`: it only moved; `live`: only what is at work; `still`:
   * all else on the photo; `figures`: those beside it, in a drag
   */
  touch(what = 'all') {
    if (what === 'all') Object.assign(this.stale, { still: true, live: true });
    else if (what !== 'view') this.stale[what] = true;
    if (this.due) return;
    this.due = true;
    requestAnimationFrame(() => this.frame());
  }

  frame() {
    this.due = false;
    const { view, draw } = this;
    if (this.pending) {
      const p = this.pending;
      this.pending = null;
      this.moveDragged(p);
      this.due = false;
    }
    if (view.away && (this.settled || this.stale.still || this.stale.live || view.far)) {
      view.rebase();
      Object.assign(this.stale, { still: true, live: true });
    } else if (view.away) {
      view.follow();
      clearTimeout(this.settling);
      this.settling = setTimeout(() => {
        this.settled = true;
        this.touch('view');
      }, 130);
    }
    this.settled = false;
    const parts = this.turn();
    for (const part of parts) this.stale[part] = false;
    if (parts.includes('still')) draw.drawStill();
    if (parts.includes('live')) draw.drawLive();
    if (parts.includes('figures')) this.sheet.refreshFigures();
    draw.drawOver();
    if (Object.values(this.stale).includes(true)) this.touch('view');
  }

  /** What is drawn in this frame: all that is stale; in a drag one part, so that no frame of the hand waits for another. */
  turn() {
    const stale = ['live', 'still', 'figures'].filter((part) => this.stale[part]);
    if (!this.drag || stale.length < 2) return stale;
    const [part] = stale[0] === 'live' && this.last === 'live' ? stale.slice(1) : stale;
    this.last = part;
    return [part];
  }

  say(words) { this.sheet.say(words); }

  /** @param {KeyboardEvent} e */
  keys(e) {
    if (!(e.ctrlKey || e.metaKey) || e.altKey) return;
    const key = e.key.toLowerCase();
    const typing = e.target instanceof HTMLElement && e.target.matches('input[type="text"], textarea');
    if (key === 's') {
      e.preventDefault();
      this.saver.save();
    } else if (key === 'z' && !typing) {
      e.preventDefault();
      this.undo(e.shiftKey);
    } else if (key === 'y' && !typing) {
      e.preventDefault();
      this.undo(true);
    }
  }

  recall(what) {
    try { return JSON.parse(localStorage.getItem(`${what}-${this.section}`) ?? 'null'); } catch { return null; }
  }
  remember(what, value) {
    try { localStorage.setItem(`${what}-${this.section}`, JSON.stringify(value)); } catch { /* asked again next time */ }
  }

  // -- the marks changed

  changed(words, fresh) {
    const line = this.marks.line(this.line);
    if (this.line && !line) {
      this.line = null;
      this.drawing = this.layer !== null;
    }
    if (this.picked && !(this.marks.line(this.picked.id)?.points[this.picked.at])) this.picked = null;
    // What was said of a proposal is over when a hand goes on.
    if (this.error?.proposal) this.error = null;
    if (fresh) this.saver.changed(words);
    else this.saver.changed(this.saver.did.pop() ?? words);
    this.reader.want();
    if (this.drag) {
      this.touch('live');
      return;
    }
    this.sheet.refresh();
    this.touch();
  }

  // -- what is being marked

  /** @param {string|null} key @param {string|null} [id] a line of it */
  choose(key, id = null) {
    const layer = key ? this.marks.layer(key) : null;
    const before = this.unended();
    this.layer = layer ? key : null;
    this.proposing = false;
    this.ghosts = null;
    this.picked = null;
    this.more = false;
    this.cursor = null;
    const lines = layer ? this.marks.linesOf(key) : [];
    const line = lines.find((l) => l.id === id) ?? (layer?.many && layer.kind !== 'scale' ? lines.find((l) => l.points.length < l.least) : lines[0]) ?? null;
    this.line = line?.id ?? null;
    this.drawing = !!layer && (!line || line.points.length < line.least);
    if (layer?.kind === 'scale' && !line && (this.marks.value.scale ?? []).length) this.drawing = false;
    this.askPath();
    this.marks.endGroup();
    if (before && before !== this.unended()) this.reader.want();
    this.sheet.refresh();
    this.touch();
    if (layer) this.say(`${layer.name}: ${line ? `${line.points.length} points set` : 'nothing set yet'}`);
  }

  /** A further line of the layer: a second pore. */
  another() {
    this.line = null;
    this.drawing = true;
    this.picked = null;
    this.sheet.refresh();
    this.touch();
  }

  /** Goes on with a line that had ended. */
  goOn() {
    this.drawing = true;
    this.more = true;
    this.picked = null;
    this.askPath();
    this.sheet.refresh();
    this.touch();
  }

  /** To what the guide asks for. */
  goNext() {
    const step = next(this.marks, this);
    if (step.layer && step.layer !== this.layer) this.choose(step.layer);
  }

  /** The whole photo; once more: the weld. */
  fit() {
    const { view } = this;
    const points = this.marks.lines().filter((l) => l.kind === 'fused').flatMap((l) => l.points);
    if (view.fitted && points.length > 2) {
      const xs = points.map((p) => p[0]);
      const ys = points.map((p) => p[1]);
      view.show(Math.min(...xs), Math.min(...ys), Math.max(...xs), Math.max(...ys));
    } else view.fit();
    this.touch();
  }

  /** The outline that is still being drawn, and so is not read yet. */
  unended() { return this.drawing && !this.more ? this.line : null; }

  canPlace() {
    if (!this.layer || !this.drawing) return false;
    const line = this.marks.line(this.line);
    return !line || line.points.length < line.most;
  }

  /** @param {Px} p */
  inside(p) { return p[0] >= -0.5 && p[1] >= -0.5 && p[0] <= this.photo.width - 0.5 && p[1] <= this.photo.height - 0.5; }
  /** @param {Px} p @returns {Px} */
  hem(p) { return [Math.min(Math.max(p[0], 0), this.photo.width - 1), Math.min(Math.max(p[1], 0), this.photo.height - 1)]; }

  hint() {
    this.say(this.layer ? 'This line has ended. Set a point on it, or go on with it.' : 'Choose first what to mark.');
    this.sheet.nudgeChoice();
  }

  // -- points

  /** Sets a point at the end of the line. @param {Px} p */
  set(p) {
    const layer = this.marks.layer(this.layer);
    if (!layer) return;
    let id = this.line;
    this.marks.endGroup();
    if (!id) {
      this.marks.edit(`${layer.name} begun`, (draft) => { id = Marks.open(draft, layer, this.scaleWay); }, 'set');
    }
    const line = this.marks.line(id);
    const n = line.points.length;
    this.line = id;
    this.marks.insert(id, n, p, `${line.name}: point set`, 'set');
    this.marks.endGroup();
    this.flash = null;
    const now = this.marks.line(id);
    this.askPath();
    this.say(`${now.name}, point ${n + 1} set at ${Math.round(p[0])}, ${Math.round(p[1])}`);
    if (!this.more && now.points.length >= enough(this.marks, now)) this.endLine(true);
  }

  insert(at, p) {
    const line = this.marks.line(this.line);
    this.marks.insert(this.line, at, p, `${line.name}: point put in`);
    this.pick(this.line, at);
    this.say(`point ${at + 1} put in`);
  }

  /** Ends the outline and goes on to what is missing. */
  endLine(itself = false) {
    const line = this.marks.line(this.line);
    if (!line || !this.drawing) {
      if (this.picked) this.letGo();
      return;
    }
    if (line.points.length < line.least) {
      this.say(`the ${line.name} needs ${line.least} points, ${line.points.length} set`);
      return;
    }
    this.drawing = false;
    this.more = false;
    this.picked = null;
    this.cursor = null;
    this.marks.endGroup();
    this.reader.want();
    this.ended = line.closed ? { layer: line.layer, id: line.id, past: this.marks.past.length } : null;
    this.say(`${line.name} ended with ${line.points.length} points; undo opens it again`);
    const step = next(this.marks, this);
    const needed = this.marks.layer(this.layer)?.need;
    if (needed && step.layer && (step.layer !== this.layer)) this.choose(step.layer);
    else if (itself && step.done) this.choose(null);
    this.sheet.refresh();
    this.sheet.focusAsked(step);
    this.touch();
  }

  pick(id, at, quiet = false) {
    const line = this.marks.line(id);
    if (!line) return;
    if (this.line !== id) {
      this.choose(line.layer, id);
    }
    this.picked = { id, at };
    this.marks.endGroup();
    if (!quiet) this.view.reveal(line.points[at]);
    this.say(`${line.name}, point ${at + 1} of ${line.points.length}${line.hold.includes(at) ? ', held' : ''}, at ${line.points[at].map(Math.round).join(', ')}`);
    // They are there before the point moves.
    this.askNeighbours(line, at);
    // Under a finger the photo goes first.
    if (quiet) this.sheet.refreshSoon(90);
    else this.sheet.refresh();
    this.touch('live');
  }

  /** The next point of the line at work. @returns {boolean} false when Tab shall leave the photo */
  pickNext(step, leaves) {
    const line = this.marks.line(this.line) ?? this.marks.lines().find((l) => l.points.length);
    if (!line?.points.length) return !leaves;
    const n = line.points.length;
    const at = this.picked?.id === line.id ? this.picked.at + step : step > 0 ? 0 : n - 1;
    if (leaves && (at < 0 || at >= n)) {
      this.letGo();
      return false;
    }
    this.pick(line.id, (at + n) % n);
    return true;
  }

  letGo() {
    this.picked = null;
    this.marks.endGroup();
    this.sheet.refresh();
    this.touch();
  }

  escape() {
    if (this.proposing || this.ghosts) {
      this.proposing = false;
      this.ghosts = null;
      this.say('proposal left');
    } else if (this.picked) {
      this.letGo();
      this.say('let go');
      return;
    } else if (this.drawing && this.marks.line(this.line)?.points.length >= this.marks.line(this.line)?.least) {
      this.endLine();
      return;
    } else if (this.layer) this.choose(null);
    this.sheet.refresh();
    this.touch();
  }

  nudge(dx, dy, step) {
    const { id, at } = this.picked;
    const line = this.marks.line(id);
    const p = this.hem([line.points[at][0] + dx * step, line.points[at][1] + dy * step]);
    this.askNeighbours(line, at);
    this.marks.move(id, at, p, `${line.name}: point ${at + 1} moved`, `nudge ${id} ${at}`);
    this.view.reveal(p);
    this.say(`${Math.round(p[0] * 100) / 100}, ${Math.round(p[1] * 100) / 100}`);
  }

  removePicked() {
    if (!this.picked) return;
    const { id, at } = this.picked;
    const line = this.marks.line(id);
    const left = line.points.length - 1;
    this.picked = null;
    this.marks.remove(id, at, `${line.name}: point taken away`);
    this.say(`point ${at + 1} taken away, ${left} left`);
    const now = this.marks.line(id);
    if (now && left) {
      if (now.points.length < now.least) this.drawing = true;
      this.pick(id, Math.min(at, left - 1), true);
    } else {
      this.line = null;
      this.drawing = !!this.layer;
    }
    this.sheet.refresh();
    this.touch();
  }

  toggleHold() {
    const line = this.marks.line(this.picked?.id);
    if (!line || !['fused', 'affected'].includes(line.kind)) return;
    const held = line.hold.includes(this.picked.at);
    this.marks.toggleHold(line.id, this.picked.at, `${line.name}: point ${held ? 'released' : 'held'}`);
    this.say(held ? 'released: the point may be drawn to the line' : 'held: the point is taken exactly as set');
  }

  undo(again = false) {
    const { ended } = this;
    this.ended = null;
    // The last thing done was to end an outline: it is open again, and no point is lost.
    if (!again && ended?.past === this.marks.past.length && this.marks.line(ended.id)) {
      this.choose(ended.layer, ended.id);
      this.goOn();
      this.say(`${this.marks.line(ended.id).name} opened again`);
      return;
    }
    const words = again ? this.marks.redo() : this.marks.undo();
    const line = this.marks.line(this.line);
    if (line && line.points.length < line.least) this.drawing = true;
    this.askPath();
    this.say(words ? `${again ? 'done again' : 'undone'}: ${words}` : again ? 'nothing to do again' : 'nothing to undo');
    this.sheet.refresh();
    this.touch();
  }

  beginDrag({ id, at }) {
    const line = this.marks.line(id);
    this.drag = { id, at, points: line.points };
    this.marks.endGroup();
    this.askNeighbours(line, at);
    this.touch('live');
  }

  /** @param {Px} p */
  dragTo(p) {
    this.pending = p;
    this.touch('view');
  }

  moveDragged(p) {
    if (!this.drag) return;
    const { id, at } = this.drag;
    const line = this.marks.line(id);
    this.marks.move(id, at, p, `${line.name}: point ${at + 1} moved`, 'drag');
  }

  endDrag() {
    if (this.pending) this.moveDragged(this.pending);
    this.pending = null;
    const { id, at } = this.drag;
    this.drag = null;
    this.reader.hurry();
    this.absorb();
    this.marks.endGroup();
    const p = this.marks.line(id)?.points[at];
    if (p) this.say(`point ${at + 1} moved to ${Math.round(p[0])}, ${Math.round(p[1])}`);
    // The point first; what stands round it in the frames after.
    this.touch('live');
    this.sheet.refreshSoon(60);
    setTimeout(() => this.touch('still'), 120);
  }

  /** How far the outline is expected to reach, picture pixels. */
  reach(line) {
    const p = line.points;
    const xs = p.map((q) => q[0]);
    const ys = p.map((q) => q[1]);
    const box = p.length > 1 ? Math.max(Math.max(...xs) - Math.min(...xs), Math.max(...ys) - Math.min(...ys)) : 0;
    return box > 8 ? box : Math.min(this.view.w, this.view.h, this.photo.width * this.view.s) / this.view.s;
  }

  /** The map of the last point, from which the path follows the cursor. */
  askPath() {
    const line = this.marks.line(this.line);
    if (line?.guided && this.drawing && line.points.length) this.paths.ask(line.points[line.points.length - 1], this.reach(line));
  }

  /** Maps of the points beside one that moves. */
  askNeighbours(line, at) {
    if (!line.guided || line.points.length < 2) return;
    const n = line.points.length;
    // Each in a task of its own: to ask takes a browser a moment.
    for (const i of [(at + n - 1) % n, (at + 1) % n]) if (i !== at) setTimeout(() => this.paths.ask(line.points[i], this.reach(line)));
  }

  // -- proposals

  startProposing() {
    this.proposing = true;
    this.ghosts = null;
    this.error = null;
    this.say('Set a point inside the fused zone');
    this.sheet.refresh();
    this.touch();
  }

  /** @param {Px} p */
  async proposeAt(p) {
    if (this.asking || !this.inside(p)) return;
    this.asking = true;
    this.flash = { p, until: performance.now() + 4000 };
    this.sheet.refresh();
    this.touch();
    const said = await send('POST', `/photo/${this.photo.hash}/inside`, { x: Math.round(p[0] * 10) / 10, y: Math.round(p[1] * 10) / 10 });
    this.asking = false;
    this.flash = null;
    if (!this.proposing) return;
    if (said.ok && said.body.outlines?.length) {
      this.proposing = false;
      this.ghosts = { outlines: said.body.outlines.map((o) => ({ ...o, closed: true })), caution: said.body.caution ?? '' };
      this.sheet.open(false);
      this.say(`${said.body.outlines.length > 1 ? 'two outlines are' : 'one outline is'} proposed. ${said.body.caution ?? ''}`);
    } else {
      const r = said.ok ? { fact: 'no outline is seen from there', advice: 'set points along the line by hand' } : said.refusal;
      // The next place that is touched is a point set by hand.
      this.proposing = false;
      this.error = { fact: r.fact, advice: r.advice, field: this.layer, proposal: true };
      this.say(`${r.fact}. ${r.advice}`);
    }
    this.sheet.refresh();
    this.touch();
  }

  accept(i) {
    const ghost = this.ghosts?.outlines[i];
    if (!ghost) return;
    if (ghost.plates) {
      this.marks.edit('plates taken from the photo', (draft) => { draft.plates = { ...draft.plates, ...clone(this.ghosts.plates) }; });
      this.ghosts = null;
      this.choose(null);
      this.goNext();
      return;
    }
    const layer = this.marks.layer(this.layer);
    if (!layer) return;
    this.marks.edit(`${layer.name}: proposal taken`, (draft) => {
      const id = Marks.open(draft, layer);
      Marks.put(draft, id, ghost.points.map((p) => [Math.round(p[0] * 10) / 10, Math.round(p[1] * 10) / 10]), []);
      this.line = id;
    });
    this.ghosts = null;
    this.drawing = false;
    this.say('proposal taken: look along the whole line and move points that are off');
    this.sheet.refresh();
    this.touch();
  }

  /** Plates from the photo alone, or (`marked`) the marked face drawn to the edge beside it. */
  async proposePlates(marked) {
    if (this.asking) return;
    this.asking = true;
    this.error = null;
    this.sheet.refresh();
    const { joint, both, value } = this.marks;
    const face = this.layer?.replace('plates.', '');
    const faces = marked ? { [face]: value.plates?.[face] ?? [] } : null;
    // A rule's edges are as straight as a plate's: the bench is told where one lies.
    const rules = (value.scale ?? []).filter((item) => scaleWay(item) === 'points' && item.from && item.to).map((item) => [item.from, item.to]);
    const said = await send('POST', `/photo/${this.photo.hash}/plates`, { joint, both: both === true, rules, marked: faces });
    this.asking = false;
    if (said.ok) {
      const { plates, caution } = said.body;
      const outlines = Object.values(plates).map((points) => ({ points, closed: false, plates: true, which: 'the plates' }));
      this.ghosts = { outlines, plates, caution };
      // On a phone they lie under the sheet.
      this.sheet.open(false);
      this.say('plates are proposed');
    } else {
      this.error = { fact: said.refusal.fact, advice: said.refusal.advice, field: this.layer };
      this.say(`${said.refusal.fact}. ${said.refusal.advice}`);
    }
    this.sheet.refresh();
    this.touch();
  }

  // -- answers

  /** @param {any} answer @param {any} error @param {object|null} sent the marks that were read */
  answered(answer, error, sent) {
    const before = this.answer?.verdicts?.join(' ');
    this.answer = answer;
    this.answers += 1;
    // With one of two welds outlined a refusal of the outlines says only what the next step says better.
    if (error && this.marks.joint === 'butt' && this.marks.both && /^fused/.test(error.field ?? '') && !next(this.marks, this).done) error = null;
    this.error = error;
    this.old = this.reader.wanted;
    if (answer && sent) {
      this.middles.clear();
      for (const o of answer.outlines ?? []) if (o.kind === 'fused') this.middles.set(o.weld, middle(o.px));
      this.traced = { outlines: answer.outlines ?? [], sent };
      // Ways of a point that is dragged go by its map until the hand lets go; the others stay.
      if (!this.drag) this.absorb();
      const now = answer.verdicts?.join(' ');
      if (!this.old && now !== before && !this.drag) this.say(now);
    } else if (error && !this.old) this.say(`${error.fact}. ${error.advice}`);
    this.sheet.refresh();
    this.touch(this.drag ? 'still' : 'all');
  }

  /** Takes the ways between set points from the outlines of the newest answer. */
  absorb() {
    if (!this.traced) return;
    const { outlines, sent } = this.traced;
    this.traced = null;
    const left = [...outlines];
    for (const line of new Marks(sent).lines()) {
      if (!KINDS.includes(line.kind)) continue;
      let at = left.findIndex((o) => o.kind === line.kind && (!line.side || o.weld === line.side));
      if (at < 0) at = left.findIndex((o) => o.kind === line.kind);
      if (at < 0) continue;
      this.paths.absorb(line, left[at].px);
      left.splice(at, 1);
    }
    this.waysVersion += 1;
  }

  middleOf(weld) { return this.middles.get(weld) ?? this.middles.values().next().value ?? null; }

  shownDims() {
    const { answer } = this;
    if (!answer?.dims || this.dimsShown === 'none' && !this.hot) return [];
    const main = new Set((answer.rows ?? []).filter((r) => r.main).map((r) => `${r.weld}/${r.reading}`));
    const hot = (d) => this.hot && this.hot.weld === d.weld && this.hot.reading === d.reading;
    const weight = (d) => (hot(d) ? 0 : /^effective_throat/.test(d.reading) ? 1 : 2);
    return answer.dims
      .filter((d) => hot(d) || this.dimsShown === 'all' || (this.dimsShown === 'main' && (main.size === 0 || main.has(`${d.weld}/${d.reading}`))))
      .sort((a, b) => weight(a) - weight(b));
  }

  // -- somebody saved meanwhile

  conflict(refusal) {
    const { theirs } = refusal;
    const other = new Marks(clone(theirs.marks));
    if (same(theirs.marks, this.saver.saved)) {
      this.saver.keepMine(theirs.revision);
      return;
    }
    this.theirs = { ...theirs, ...apart(this.saver.saved ?? {}, this.marks.value, theirs.marks), fact: refusal.fact, lines: other.lines(), shown: true };
    this.sheet.open(false);
    this.say(refusal.fact);
    this.sheet.refresh();
    this.sheet.showClash();
    this.touch();
  }

  /** What they changed and what I changed are different things: both stand. */
  keepBoth() {
    const { merged, revision } = this.theirs;
    this.theirs = null;
    this.saver.state = { what: 'same', time: '', fact: '' };
    this.marks.edit('theirs taken beside mine', (draft) => {
      for (const k of Object.keys(draft)) delete draft[k];
      Object.assign(draft, clone(merged));
    });
    this.saver.keepMine(revision, 'both kept after a conflict');
    this.choose(null);
  }

  keepMine() {
    const { revision } = this.theirs;
    this.theirs = null;
    this.saver.keepMine(revision);
    this.sheet.refresh();
    this.touch();
  }

  takeTheirs() {
    const { theirs } = this;
    this.theirs = null;
    this.saver.state = { what: 'same', time: '', fact: '' };
    this.marks.edit('theirs taken', (draft) => {
      for (const k of Object.keys(draft)) delete draft[k];
      Object.assign(draft, clone(theirs.marks));
    });
    this.saver.takeTheirs(theirs);
    clearTimeout(this.saver.timer);
    this.choose(null);
  }

  /** Marks of an earlier visit that were kept in this browser. */
  bringBack() {
    const { left } = this;
    this.left = null;
    this.saver.from = left.from;
    this.marks.edit('marks kept in this browser brought back', (draft) => {
      for (const k of Object.keys(draft)) delete draft[k];
      Object.assign(draft, clone(left.marks));
    });
    this.choose(null);
    this.goNext();
  }

  leaveLeft() {
    this.left = null;
    this.saver.forget();
    this.sheet.refresh();
  }
}

/** What was changed on either side since both began, and both together where no field was changed by both. */
function apart(from, mine, theirs) {
  const changed = (now) => [...new Set([...Object.keys(from), ...Object.keys(now)])].filter((k) => !same(from[k] ?? null, now[k] ?? null));
  const [own, other] = [changed(mine), changed(theirs)];
  const words = { mine: own.join(', ') || 'nothing', theirs: other.join(', ') || 'nothing' };
  if (own.some((k) => other.includes(k))) return { words, merged: null };
  const merged = clone(mine);
  for (const k of other) {
    if (k in theirs) merged[k] = clone(theirs[k]);
    else delete merged[k];
  }
  return { words, merged };
}

/** @param {Px[]} px @returns {Px} */
function middle(px) {
  const sum = px.reduce((s, p) => [s[0] + p[0], s[1] + p[1]], [0, 0]);
  return [sum[0] / px.length, sum[1] / px.length];
}

const main = document.getElementById('desk');
if (main) {
  const desk = new Desk(main);
  // For tests of the page.
  Object.defineProperty(main, 'desk', { value: desk });
}
