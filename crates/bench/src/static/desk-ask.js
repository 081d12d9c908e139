// What is asked of the bench: readings while points move, and saving. One request of each kind at a time; the newest
// marks win; what could not be sent stays in this browser.

import { clone, isStraightened, kept, readable, same, scaleIsWhole } from './desk-marks.js';

const APART_MS = 150;
/**
 * In a drag a reading is asked for when the hand rests; under a mouse also so long after an answer. It takes the bench a
 * second, and may be the same machine: the hand goes first.
 */
const REST_MS = 120;
const MOVING_MS = 2000;
const SAVE_AFTER_MS = 2000;
const AGAIN_MS = 8000;

/** @typedef {{fact: string, advice: string, field: string|null}} Refusal */

async function refusal(answer) {
  try {
    const said = await answer.json();
    return { fact: said.fact ?? `the bench answered ${answer.status}`, advice: said.advice ?? '', field: said.field ?? null, theirs: said.theirs };
  } catch {
    return { fact: `the bench answered ${answer.status}`, advice: answer.status === 401 || answer.status === 403 ? 'log in again in another tab; the marks stay here' : 'try again', field: null };
  }
}

/** @returns {Promise<{ok: true, body: any}|{ok: false, status: number, refusal: any}>} status 0: not reached */
export async function send(method, path, body, extra = {}) {
  let answer;
  try {
    const sent = body === null ? {} : { headers: { 'content-type': 'application/json' }, body: JSON.stringify(body) };
    answer = await fetch(path, { method, ...sent, ...extra });
  } catch {
    return { ok: false, status: 0, refusal: { fact: 'the bench cannot be reached', advice: 'the marks are kept in this browser', field: null } };
  }
  if (answer.ok) return { ok: true, body: await answer.json() };
  return { ok: false, status: answer.status, refusal: await refusal(answer) };
}

export class Reader {
  constructor(desk) {
    this.desk = desk;
    this.flying = false;
    this.wanted = false;
    this.last = 0;
    this.answered = 0;
    this.timer = 0;
    this.asked = 0;
  }

  /** Can anything be read from what is marked so far? */
  static enough(marks, drawing = null) {
    const v = marks.value;
    return typeof v.etched === 'boolean'
      && ((v.scale ?? []).some(scaleIsWhole) || isStraightened(v))
      && marks.layers().every((l) => !l.need || l.kind !== 'plate' || (marks.linesOf(l.key)[0]?.points.length ?? 0) >= 2)
      && (v.fused ?? []).some((o, i) => `fused/${i}` !== drawing && (o.points?.length ?? 0) >= 3);
  }

  want() {
    this.wanted = true;
    this.desk.old = true;
    this.hurry();
  }

  /** Plans anew: the hand moved on, or let go. */
  hurry() {
    clearTimeout(this.timer);
    this.timer = 0;
    if (!this.wanted) return;
    const { drag, coarse } = this.desk;
    const due = coarse ? REST_MS : Math.min(REST_MS, this.answered + MOVING_MS - performance.now());
    this.plan(drag ? Math.max(due, 0) : 0);
  }

  plan(least) {
    if (this.flying || this.timer) return;
    const wait = Math.max(least, this.last + APART_MS - performance.now(), 0);
    this.timer = setTimeout(() => {
      this.timer = 0;
      this.go();
    }, wait);
  }

  async go() {
    const { desk } = this;
    if (this.flying || !this.wanted) return;
    this.wanted = false;
    const drawing = desk.unended();
    if (!Reader.enough(desk.marks, drawing)) {
      desk.answered(null, null, null);
      return;
    }
    const value = readable(desk.marks.value, drawing);
    this.flying = true;
    this.last = performance.now();
    this.asked += 1;
    desk.sheet.refresh();
    const said = await send('POST', `/section/${desk.section}/read`, value);
    this.flying = false;
    this.answered = performance.now();
    if (said.ok) desk.answered(said.body, null, value);
    else if (said.status === 0 || said.status >= 500 || said.status === 429) {
      desk.answered(desk.answer, { ...said.refusal, fact: said.status ? said.refusal.fact : 'the bench cannot be reached: the figures are from before' }, null);
      this.wanted = true;
      desk.old = true;
      this.plan(4000);
      return;
    } else desk.answered(null, said.refusal, null);
    this.hurry();
  }
}

export class Saver {
  constructor(desk, revision) {
    this.desk = desk;
    this.from = revision;
    this.saved = kept(desk.marks.value);
    this.state = { what: 'same', time: '', fact: '' };
    this.timer = 0;
    this.keepTimer = 0;
    this.flying = false;
    /** @type {string[]} */
    this.did = [];
    this.reason = '';
    this.slot = `seamproof-desk-${desk.section}`;
    addEventListener('online', () => this.state.what === 'away' && this.save());
    document.addEventListener('visibilitychange', () => {
      if (document.visibilityState !== 'hidden') return;
      this.keepNow();
      if (this.dirty) this.save(true);
    });
    addEventListener('pagehide', () => this.keepNow());
  }

  get dirty() { return !same(kept(this.desk.marks.value), this.saved); }

  /** A copy of this section that an earlier visit could not save. */
  left() {
    try {
      const copy = JSON.parse(localStorage.getItem(this.slot) ?? 'null');
      if (!copy) return null;
      if (same(copy.marks, this.saved)) {
        localStorage.removeItem(this.slot);
        return null;
      }
      return copy;
    } catch {
      return null;
    }
  }

  forget() {
    try { localStorage.removeItem(this.slot); } catch { /* no storage: nothing was kept */ }
  }

  keepNow() {
    clearTimeout(this.keepTimer);
    this.keepTimer = 0;
    if (!this.pending) return;
    try {
      localStorage.setItem(this.slot, JSON.stringify({ from: this.from, marks: kept(this.desk.marks.value), time: new Date().toISOString() }));
      this.pending = false;
    } catch { /* full or forbidden: the state says 'not saved yet' */ }
  }

  /** Writing into the browser's store takes a frame: it waits until the hand lets go. */
  keepSoon() {
    this.keepTimer = setTimeout(() => (this.desk.drag ? this.keepSoon() : this.keepNow()), 500);
  }

  /** Something changed. */
  changed(words) {
    this.did.push(words);
    if (this.did.length > 40) this.did.shift();
    this.pending = true;
    if (!this.keepTimer) this.keepSoon();
    if (this.state.what !== 'conflict' && this.state.what !== 'away') this.state = { what: 'new', time: this.state.time, fact: '' };
    clearTimeout(this.timer);
    if (this.state.what !== 'conflict') this.timer = setTimeout(() => this.save(), SAVE_AFTER_MS);
  }

  async save(closing = false) {
    const { desk } = this;
    clearTimeout(this.timer);
    if (this.flying) {
      this.again = true;
      return;
    }
    if (this.state.what === 'conflict') return;
    const marks = kept(desk.marks.value);
    if (same(marks, this.saved) && this.state.what !== 'away') {
      this.state = { ...this.state, what: this.state.time ? 'saved' : 'same' };
      this.pending = false;
      this.forget();
      desk.refusedSave = null;
      desk.sheet.refresh();
      return;
    }
    this.flying = true;
    const did = this.did.splice(0);
    const reason = this.reason.trim() || summary(did);
    this.state = { ...this.state, what: 'saving' };
    desk.sheet.refresh();
    const body = { from: this.from, marks, reason };
    const small = JSON.stringify(body).length < 60000;
    const said = await send('PUT', `/section/${desk.section}`, body, closing && small ? { keepalive: true } : {});
    this.flying = false;
    if (said.ok) {
      this.from = said.body.revision;
      this.saved = marks;
      this.reason = '';
      this.state = { what: this.dirty ? 'new' : 'saved', time: said.body.saved, fact: '' };
      if (this.dirty) {
        this.pending = true;
        this.keepNow();
        this.timer = setTimeout(() => this.save(), SAVE_AFTER_MS);
      } else {
        this.pending = false;
        this.forget();
      }
      desk.refusedSave = null;
    } else {
      this.did.unshift(...did);
      this.pending = true;
      this.keepNow();
      if (said.status === 409 && said.refusal.theirs) {
        this.state = { ...this.state, what: 'conflict', fact: said.refusal.fact };
        desk.conflict(said.refusal);
      } else if (said.status === 0 || said.status >= 500) {
        this.state = { ...this.state, what: 'away', fact: said.refusal.fact };
        this.timer = setTimeout(() => this.save(), AGAIN_MS);
      } else {
        this.state = { ...this.state, what: 'refused', fact: said.refusal.fact };
        desk.refusedSave = said.refusal;
      }
    }
    desk.sheet.refresh();
    if (this.again) {
      this.again = false;
      this.save();
    }
  }

  /** Mine stands, on top of their revision; or what `words` say. */
  keepMine(revision, words = 'kept mine after a conflict') {
    this.from = revision;
    this.saved = null;
    this.state = { ...this.state, what: 'new' };
    this.did.push(words);
    this.save();
  }

  /** Theirs is what stands now. */
  takeTheirs(theirs) {
    this.from = theirs.revision;
    this.saved = clone(theirs.marks);
    this.did.length = 0;
    this.pending = false;
    this.forget();
    this.state = { what: 'saved', time: theirs.time, fact: '' };
  }

  words() {
    const at = clock(this.state.time);
    switch (this.state.what) {
      case 'new': return 'not saved yet';
      case 'saving': return 'saving…';
      case 'saved': return at ? `saved ${at}` : 'saved';
      case 'away': return 'cannot reach the bench: kept in this browser';
      case 'conflict': return 'not saved: somebody saved meanwhile';
      case 'refused': return `not saved: ${this.state.fact}`;
      default: return 'as saved';
    }
  }
}

export function clock(time) {
  const t = new Date(time);
  return time && !Number.isNaN(+t) ? t.toLocaleTimeString([], { hour: '2-digit', minute: '2-digit', hour12: false }) : '';
}

/** What was done, in a line for the record. */
function summary(did) {
  const counts = new Map();
  for (const words of did) counts.set(words, (counts.get(words) ?? 0) + 1);
  const parts = [...counts].map(([words, n]) => (n > 1 ? `${words} (${n} times)` : words));
  return parts.length ? parts.slice(-4).join('; ') : 'marks changed';
}
