// The sheet beside or under the photo: verdict, next step, legend of what is marked, figures, title block.
// Built once; each part is drawn again only when what it says has changed.

import { Marks, SCALE_TEXTS, isStraightened, scaleWay } from './desk-marks.js';
import { LOOK } from './desk-draw.js';
import { examples, how, next } from './desk-guide.js';
import { Reader, clock, send } from './desk-ask.js';

/** @typedef {import('./desk-marks.js').Layer} Layer */

const NS = 'http://www.w3.org/2000/svg';

/**
 * An element: attributes, then children; `on…` are listeners, `set…` nothing special.
 * @param {string} name @param {Record<string, any>} [attributes] @param {...any} children
 * @returns {any}
 */
export function h(name, attributes = {}, ...children) {
  const el = document.createElement(name);
  for (const [key, value] of Object.entries(attributes)) {
    if (value === null || value === undefined || value === false) continue;
    if (key.startsWith('on')) el.addEventListener(key.slice(2), value);
    else if (key === 'class') el.className = value;
    else if (value === true) el.setAttribute(key, '');
    else el.setAttribute(key, String(value));
  }
  el.append(...children.flat().filter((c) => c !== null && c !== undefined && c !== false));
  return el;
}

let ids = 0;
const fresh = () => `desk-${(ids += 1)}`;

/** A labelled input or select. */
function field(label, control, note = null) {
  control.id ||= fresh();
  return h('div', { class: 'entry' }, h('label', { for: control.id }, label), control, note);
}

export class Sheet {
  /** @param {HTMLElement} main @param {any} desk */
  constructor(main, desk) {
    this.main = main;
    this.desk = desk;
    this.due = false;
    this.signs = new Map();
    this.isOpen = false;
    this.folded = desk.recall?.('examples') ?? false;

    this.pane = h('div', {
      class: 'pane', tabindex: '0', role: 'application',
      'aria-label': 'Photo of the section', 'aria-describedby': 'desk-keys-short',
    });
    this.live = h('div', { class: 'aloud', 'aria-live': 'polite', role: 'status' });
    this.keysShort = h('p', { class: 'aloud', id: 'desk-keys-short' },
      'Arrow keys move the photo, plus and minus zoom, space sets a point in the middle. Bracket keys pick a point; '
      + 'arrow keys then move it, Delete takes it away, Enter ends the outline, Escape lets go.');
    this.state = h('p', { class: 'state' });
    this.viewNote = h('p', { class: 'view-note', hidden: true },
      h('span', {}, 'View changed; the reading is not. '),
      h('button', { type: 'button', class: 'plain', onclick: () => this.resetView() }, 'Show as taken'));
    const zoom = (words, sign, f) => h('button', { type: 'button', class: 'glass', title: words, 'aria-label': words, onclick: f }, sign);
    this.zoomer = h('div', { class: 'zoomer', role: 'group', 'aria-label': 'Zoom' },
      zoom('Zoom in (+)', '+', () => this.zoom(1.4)),
      zoom('Zoom out (-)', '\u2212', () => this.zoom(1 / 1.4)),
      zoom('Fit the photo; once more: the weld (0)', 'Fit', () => desk.fit()));
    this.board = h('div', { class: 'board' }, this.pane, this.state, this.viewNote, this.zoomer);

    this.verdict = h('div', { class: 'finding' });
    this.step = h('div', { class: 'step' });
    this.trouble = h('div', { class: 'trouble', role: 'alert' });
    this.clash = h('section', { class: 'clash', 'aria-label': 'Saved by somebody else', hidden: true });
    this.say_ = h('section', { class: 'says', 'aria-label': 'What the section shows, and what to do next' }, this.clash, this.verdict, this.trouble, this.step);

    this.bar = h('div', { class: 'bar', role: 'toolbar', 'aria-label': 'Points' });
    this.handle = h('button', { type: 'button', class: 'handle', 'aria-expanded': 'false', onclick: () => this.open(!this.isOpen) }, h('span', {}, 'Sheet'));
    this.dock = h('section', { class: 'dock', 'aria-label': 'Marking' }, this.bar);

    this.legend = h('ul', { class: 'legend' });
    this.details = h('div', { class: 'details' });
    this.table = h('div', { class: 'figures' });
    this.remarks = h('div', { class: 'remarks' });
    this.titleBlock = h('section', { class: 'title-block', 'aria-label': 'Labels of this section' });
    this.sheet = h('aside', { class: 'leaf', 'aria-label': 'Sheet' },
      this.say_,
      h('section', { class: 'part', 'aria-label': 'What is marked' }, h('h2', {}, 'Marked on the photo'), this.legend),
      this.table, this.remarks, this.viewFold(), this.keysFold(), this.titleBlock);
    main.append(this.board, this.dock, this.sheet, this.live, this.keysShort);
    document.documentElement.classList.add('has-desk');
    // What the page says of its data stands with the figures.
    this.invented = document.querySelector('body > .invented');
    if (this.invented) this.titleBlock.append(this.invented);
    const below = () => main.style.setProperty('--above', `${Math.max(0, Math.round(this.topOf()))}px`);
    below();
    addEventListener('resize', below);
    this.narrow = matchMedia('(max-width: 719px) and (orientation: portrait), (max-width: 599px)');
    this.narrow.addEventListener('change', () => this.arrange());
  }

  /** Where the page's own head ends. */
  topOf() {
    let top = 0;
    for (let el = this.main.previousElementSibling; el; el = el.previousElementSibling) {
      if (el instanceof HTMLElement && el.offsetHeight && getComputedStyle(el).position !== 'absolute') top = Math.max(top, el.offsetTop + el.offsetHeight);
    }
    return top;
  }

  start() {
    this.arrange();
    this.buildTitleBlock();
    this.refreshNow();
  }

  /** On a phone the verdict, the next step and the buttons lie within reach of the thumb; else they are in the sheet. */
  arrange() {
    const narrow = this.narrow.matches;
    this.main.classList.toggle('narrow', narrow);
    if (narrow) this.dock.prepend(this.handle, this.say_);
    else {
      this.handle.remove();
      this.sheet.prepend(this.say_);
    }
    this.open(false);
    this.signs.clear();
    this.refresh();
  }

  open(open) {
    this.isOpen = open && this.narrow.matches;
    this.main.classList.toggle('sheet-open', this.isOpen);
    this.handle.setAttribute('aria-expanded', String(this.isOpen));
    this.handle.firstChild.textContent = this.isOpen ? 'Back to the photo' : 'Sheet: marks, figures, labels';
    this.sheet.inert = this.narrow.matches && !this.isOpen;
    if (this.desk.answer?.doubts?.length) this.refresh();
  }

  say(words) {
    if (!words) return;
    clearTimeout(this.sayTimer);
    // Two messages within a moment: the later one counts.
    this.sayTimer = setTimeout(() => {
      this.live.textContent = this.live.textContent === words ? `${words}\u00a0` : words;
    }, 120);
  }

  zoom(f) {
    const { view } = this.desk;
    view.zoomAt(view.w / 2, view.h / 2, f);
    this.desk.touch();
  }

  refresh() {
    if (this.desk.drag) this.desk.touch('figures');
    else this.ask();
  }

  ask() {
    if (this.due) return;
    this.due = true;
    requestAnimationFrame(() => this.refreshNow());
  }

  /** @param {number} ms */
  refreshSoon(ms) {
    this.soon ??= setTimeout(() => {
      this.soon = null;
      this.ask();
    }, ms);
  }

  /** Draws a part again if what it depends on has changed. */
  part(name, sign, draw) {
    const now = JSON.stringify(sign);
    if (this.signs.get(name) === now) return;
    this.signs.set(name, now);
    draw();
  }

  refreshNow() {
    this.due = false;
    const { desk } = this;
    if (!desk.reader) return;
    if (desk.drag) {
      desk.touch('figures');
      return;
    }
    const { marks } = desk;
    const step = next(marks, desk);
    const line = marks.line(desk.line);
    const error = desk.error ?? desk.refusedSave;

    const note = desk.saver.words();
    const invented = this.invented ? this.invented.textContent.trim() : '';
    const photoGone = desk.view.failed ? 'part of the photo could not be loaded; it is tried again' : '';
    this.part('state', [note, photoGone, desk.saver.from], () => {
      this.state.textContent = [invented, note, photoGone].filter(Boolean).join(' · ');
      this.state.classList.toggle('loud', ['away', 'conflict', 'refused'].includes(desk.saver.state.what) || !!photoGone);
      this.saveNote && (this.saveNote.textContent = `revision ${desk.saver.from}, ${note}`);
    });
    const changedView = this.look && JSON.stringify(this.look) !== JSON.stringify(PLAIN);
    if (this.viewNote.hidden === !!changedView) this.viewNote.hidden = !changedView;

    this.part('verdict', [this.narrow.matches && !this.isOpen, desk.answers, Reader.enough(marks, desk.unended()), !!error, desk.reader.flying || desk.reader.wanted], () => this.drawVerdict(error));
    this.showAge();

    this.part('trouble', [error, desk.saver.state.what === 'conflict'], () => this.drawTrouble(error));
    this.part('step', [step, step.done && !!error, desk.layer, desk.line, desk.drawing, desk.proposing, desk.asking, desk.ghosts?.outlines.map((o) => o.points[0]), line?.points.length > 2, desk.left?.time, desk.twin, this.narrow.matches], () => this.drawStep(step, line, !!error));
    this.part('clash', [desk.theirs?.revision, desk.theirs?.shown], () => this.drawClash());
    this.part('bar', [desk.more, desk.layer, desk.line, desk.drawing, desk.picked, line?.points.length, line?.hold, marks.past.length > 0, marks.future.length > 0, this.narrow.matches, marks.layers().map((l) => l.name + this.stateOf(l))], () => this.drawBar(line));
    this.part('legend', [desk.layer, marks.layers().map((l) => [l.key, l.name, this.stateOf(l)]), this.errorLayer(error), this.narrow.matches, marks.joint], () => this.drawLegend());
    this.part('details', [this.narrow.matches, desk.layer, desk.line, desk.drawing, line && [line.points.length >= line.least, line.guided], marks.linesOf(desk.layer ?? '').map((l) => l.id), (marks.value.scale ?? []).map((s) => [scaleWay(s), s.read, !!s.from, !!s.to]), this.folded, marks.joint, desk.scaleWay, !!marks.value.straighten, line?.points.length > 1, desk.proposing, !!desk.ghosts, desk.asking], () => this.drawDetails(line));
    this.part('wrong', [error, desk.layer, desk.line, this.signs.get('details')], () => this.markWrong(error));
    this.fillFields();
    this.part('table', [desk.answers, this.allRows], () => this.drawTable());
    this.part('remarks', [desk.answers], () => this.drawRemarks());
  }

  /** While a point is dragged only the figures follow: everything else stays as it is until the hand lets go. */
  refreshFigures() {
    const { desk } = this;
    this.showAge();
    if (this.figuresOf === desk.answers || !desk.answer) return;
    this.figuresOf = desk.answers;
    this.drawVerdict(null);
    // On a phone the table lies behind the photo.
    if (!this.narrow.matches || this.isOpen) this.drawTable();
  }

  /** Figures that are from before the last change are drawn faint. */
  showAge() {
    const { desk } = this;
    const old = desk.old && (desk.reader.flying || desk.reader.wanted) && !!desk.answer;
    for (const el of [this.verdict, this.table]) el.classList.toggle('old', old);
    this.main.classList.toggle('reading', desk.reader.flying);
  }

  // -- what it says

  drawVerdict(error) {
    const { desk } = this;
    const verdicts = desk.answer?.verdicts ?? [];
    const asked = desk.reader.flying || desk.reader.wanted;
    const words = verdicts.length ? verdicts.map((v) => h('p', {}, ...unbroken(v)))
      : error ? [] : [h('p', { class: 'none' }, asked && Reader.enough(desk.marks, desk.unended()) ? 'Reading…' : 'No throat yet.')];
    const doubts = desk.answer?.doubts ?? [];
    // On a phone the photo needs the room: the sheet says them in full.
    if (doubts.length && this.narrow.matches && !this.isOpen) {
      const n = doubts.length > 1 ? `${doubts.length} open questions` : 'An open question';
      words.push(h('p', { class: 'doubt' }, h('button', { type: 'button', onclick: () => this.open(true) }, `${n} about this reading`)));
    } else words.push(...doubts.map((doubt) => h('p', { class: 'doubt' }, sentence(doubt))));
    this.verdict.replaceChildren(...words, h('p', { class: 'reading-now', 'aria-hidden': 'true' }, 'reading…'));
  }

  drawTrouble(error) {
    this.trouble.replaceChildren(...(error ? [h('p', {}, h('strong', {}, sentence(error.fact)), ' ', sentence(error.advice ?? '')), this.errorLink(error)].filter(Boolean) : []));
    this.trouble.hidden = !error;
  }

  /** Where one says who one is, and back. */
  nameLink() { return h('a', { class: 'name-link', href: `/name?back=${encodeURIComponent(`/section/${this.desk.section}`)}` }, 'Say your name'); }

  errorLink(error) {
    if (error === this.desk.refusedSave && !this.desk.author) return this.nameLink();
    const key = this.errorLayer(error);
    if (!key || key === this.desk.layer) return null;
    const layer = this.desk.marks.layer(key);
    return h('button', { type: 'button', class: 'plain', onclick: () => this.desk.choose(key) }, `Go to: ${layer.name}`);
  }

  /** The layer that an error belongs to. */
  errorLayer(error) {
    const name = error?.field;
    if (!name) return null;
    const layers = this.desk.marks.layers();
    const exact = layers.find((l) => l.key === name || l.field === name);
    if (exact) return exact.key;
    const [first] = name.split('.');
    const one = layers.find((l) => l.field === first || l.kind === first) ?? (first === 'plates' ? layers.find((l) => l.kind === 'plate') : null);
    return one?.key ?? null;
  }

  drawStep(step, line, wrong) {
    const { desk } = this;
    const out = [];
    const button = (words, f, kind = '') => h('button', { type: 'button', class: kind, onclick: f }, words);
    if (desk.left) {
      out.push(h('p', {}, `Marks from ${clock(desk.left.time) || 'an earlier visit'} were kept in this browser and are not in the study.`),
        h('div', { class: 'choices' }, button('Bring them back', () => desk.bringBack(), 'main'), button('Let them go', () => desk.leaveLeft())));
    }
    if (desk.twin) {
      out.push(h('p', {}, `This very photo is section ${desk.twin} already. Go on only if it shows another cut beside that one: a copy is refused in a claim.`),
        h('div', { class: 'choices' }, h('a', { href: `/record/${desk.section}` }, 'Take this one out'), button('It shows another cut', () => {
          desk.twin = '';
          this.refresh();
        })));
    }
    if (desk.ghosts) {
      const many = desk.ghosts.outlines.length > 1 && !desk.ghosts.plates;
      out.push(h('p', {}, many ? 'Two lines could be it. Look along both and take the one that is the fusion line.' : 'Proposed, drawn dashed. Take it only if it is right.'));
      if (desk.ghosts.caution) out.push(h('p', { class: 'small' }, sentence(desk.ghosts.caution)));
      const choices = desk.ghosts.plates ? [button('Take these', () => desk.accept(0), 'main')]
        : desk.ghosts.outlines.map((o, i) => button(many ? `Take ${String.fromCharCode(65 + i)}: ${o.which}` : 'Take it', () => desk.accept(i), i ? '' : 'main'));
      out.push(h('div', { class: 'choices' }, ...choices, button('Leave it', () => desk.escape())));
    } else if (desk.proposing) {
      out.push(h('p', {}, desk.asking ? 'Looking for a line round that place…' : `${desk.coarse ? 'Tap' : 'Click'} inside the fused zone, well away from its edge. Of sections with a plain line three in four proposals are right, of fillets with a deep root few: look along all of it, both toes and the root.`),
        h('div', { class: 'choices' }, button('Leave it', () => desk.escape())));
    } else {
      const kind = desk.marks.layer(desk.layer)?.kind;
      const elsewhere = step.layer && step.layer !== desk.layer;
      if (!(step.done && wrong)) out.push(h('p', { class: 'next' }, step.done ? step.words : h('span', {}, h('span', { class: 'now' }, 'Next: '), step.words)));
      const choices = [];
      if (step.ask === 'etched') choices.push(button('Etched', () => this.setField('etched', true), 'main'), button('Not etched', () => this.setField('etched', false)));
      if (step.ask === 'both') {
        const said = (both) => () => {
          desk.marks.bothSaid = both;
          desk.remember('both', both);
          desk.marks.version += 1;
          desk.choose(null);
          desk.goNext();
          desk.reader.want();
        };
        choices.push(...(desk.marks.joint === 'tee'
          ? [button('On one side', said(false)), button('On both sides', said(true))]
          : [button('From the top only', said(false)), button('From both sides', said(true))]));
      }
      if (step.ask === 'length') choices.push(this.lengthField());
      if (elsewhere && !step.ask) choices.push(button('Mark it', () => desk.choose(step.layer), 'main'));
      if (desk.drawing && line && line.points.length >= line.least && line.most > 2) choices.push(button(line.closed ? 'End the outline' : 'Done', () => desk.endLine(), 'main'));
      if (kind === 'plate' && step.layer === desk.layer && !desk.marks.value.plates) choices.push(button('Propose plates', () => desk.proposePlates(false)));
      if (this.narrow.matches && desk.layer && !step.ask && !step.done) {
        choices.push(button('How?', () => {
          this.open(true);
          requestAnimationFrame(() => this.details.parentElement?.scrollIntoView({ block: 'start' }));
        }));
      }
      if (choices.length) out.push(h('div', { class: 'choices' }, ...choices));
    }
    this.step.replaceChildren(...out);
    this.step.hidden = out.length === 0;
  }

  /** The length asked for by the next step. */
  lengthField() {
    const { desk } = this;
    const i = (desk.marks.value.scale ?? []).findIndex((s) => s.from && s.to && !s.length && !s.thickness);
    const item = desk.marks.value.scale?.[i] ?? {};
    const name = 'thickness' in item ? 'thickness' : 'length';
    const input = h('input', { type: 'text', class: 'length-now', autocomplete: 'off', enterkeyhint: 'done', placeholder: '10 mm', 'aria-label': 'Length between the two points' });
    const form = h('form', { class: 'ask-now', onsubmit: (e) => {
      e.preventDefault();
      const text = input.value.trim();
      if (!text) return;
      // Said at once, and asked again, not after the outline is drawn.
      send('GET', `/length?text=${encodeURIComponent(text)}`, null).then((said) => {
        if (!said.ok && said.status !== 0) {
          desk.error = { ...said.refusal, field: 'scale' };
          this.refresh();
          this.say(`${said.refusal.fact}. ${said.refusal.advice}`);
          const again = this.step.querySelector('.length-now');
          if (again) again.value = text;
          again?.focus();
          return;
        }
        if (!desk.marks.value.scale?.[i]) return;
        desk.error = null;
        desk.marks.edit('scale: length written', (draft) => { draft.scale[i][name] = text; });
        desk.choose(null);
        desk.goNext();
        if (!this.narrow.matches) this.pane.focus({ preventScroll: true });
        else input.blur();
      });
    } }, input, h('button', { class: 'main' }, 'Set'));
    return form;
  }

  /** Puts the cursor where the next step asks for a text. */
  focusAsked(step) {
    if (step.ask !== 'length') return;
    requestAnimationFrame(() => requestAnimationFrame(() => this.step.querySelector('.length-now')?.focus()));
  }

  nudgeChoice() {
    const el = this.narrow.matches ? this.bar.querySelector('select') : this.legend;
    el?.classList.remove('here');
    void el?.offsetWidth;
    el?.classList.add('here');
  }

  drawClash() {
    const { desk } = this;
    const t = desk.theirs;
    this.clash.hidden = !t;
    if (!t) {
      this.clash.replaceChildren();
      return;
    }
    const button = (words, f, kind = '') => h('button', { type: 'button', class: kind, onclick: f }, words);
    this.clash.replaceChildren(
      h('p', {}, h('strong', {}, `${t.author} saved revision ${t.revision}${clock(t.time) ? ` at ${clock(t.time)}` : ''} while you worked.`),
        ' Nothing is lost: both are kept, and you say which one stands.'),
      h('p', { class: 'small' }, `They changed ${t.words.theirs}; you changed ${t.words.mine}.`),
      h('div', { class: 'choices' }, t.merged ? button('Keep both', () => desk.keepBoth(), 'main') : '', button('Keep mine', () => desk.keepMine(), t.merged ? '' : 'main'), button('Take theirs', () => desk.takeTheirs()),
        h('button', { type: 'button', 'aria-pressed': String(t.shown), onclick: () => {
          t.shown = !t.shown;
          this.refresh();
          desk.touch();
        } }, t.shown ? 'Hide theirs on the photo' : 'Show theirs on the photo')),
      h('p', { class: 'small' }, 'Theirs is drawn dotted in yellow. After ‘Take theirs’, undo brings yours back.'));
  }

  /** Brings the choice between both where it is seen. */
  showClash() {
    requestAnimationFrame(() => requestAnimationFrame(() => {
      this.clash.scrollIntoView({ block: 'nearest' });
      this.clash.querySelector('button')?.focus({ preventScroll: true });
    }));
  }

  // -- buttons under the photo

  drawBar(line) {
    const { desk } = this;
    const { marks } = desk;
    const act = this.bar.contains(document.activeElement) ? document.activeElement?.dataset.act : null;
    const button = (act_, words, sign, f, options = {}) => h('button', { type: 'button', 'data-act': act_, title: words, 'aria-label': words, onclick: f, ...options }, sign);
    const out = [];
    if (this.narrow.matches && !desk.picked) {
      const select = h('select', { 'aria-label': 'What to mark', 'data-act': 'layer', onchange: () => desk.choose(select.value || null) },
        h('option', { value: '' }, 'Just looking'),
        ...marks.layers().map((l) => h('option', { value: l.key, selected: l.key === desk.layer }, `${l.name} – ${this.stateOf(l)}`)));
      out.push(h('div', { class: 'what' }, select));
    } else {
      const words = desk.picked && line
        ? `${cap(line.name)}: point ${desk.picked.at + 1} of ${line.points.length}${line.hold.includes(desk.picked.at) ? ', held' : ''}`
        : desk.layer ? `Marking: ${marks.layer(desk.layer)?.name.toLowerCase() ?? ''}${line ? `, ${line.points.length} point${line.points.length === 1 ? '' : 's'}` : ''}` : 'Looking only. Choose in the list what to mark.';
      out.push(h('p', { class: 'words' }, words));
    }
    const tools = [];
    if (desk.picked && line) {
      const at = desk.picked.at;
      const arrow = (words, turn, dx, dy) => button(`nudge${turn}`, words, arrowSign(turn), () => desk.picked && desk.nudge(dx, dy, 1), { class: 'nudge' });
      tools.push(arrow('Move left by one pixel', 180, -1, 0), arrow('Move up by one pixel', 270, 0, -1), arrow('Move down by one pixel', 90, 0, 1), arrow('Move right by one pixel', 0, 1, 0));
      if (['fused', 'affected'].includes(line.kind)) {
        const held = line.hold.includes(at);
        tools.push(button('hold', held ? 'Release: may be drawn to the line (H)' : 'Hold: take exactly as set (H)', held ? 'Release' : 'Hold', () => desk.toggleHold()));
      }
      tools.push(button('delete', 'Take this point away (Delete)', 'Delete', () => desk.removePicked()));
      tools.push(button('let-go', 'Let go of the point (Escape)', this.narrow.matches ? '✓' : 'Let go', () => desk.letGo()));
    } else {
      if (!desk.drawing && line && line.points.length < line.most && line.kind !== 'scale' && !this.narrow.matches) tools.push(button('on', 'Set more points at its end', 'More points', () => desk.goOn()));
      tools.push(button('undo', 'Undo (Ctrl+Z)', 'Undo', () => desk.undo(), { disabled: marks.past.length === 0 }), button('redo', 'Redo (Ctrl+Shift+Z)', 'Redo', () => desk.undo(true), { disabled: marks.future.length === 0 }));
    }
    out.push(h('div', { class: 'tools' }, ...tools));
    this.bar.replaceChildren(...out);
    this.bar.classList.toggle('picked', !!desk.picked);
    this.main.classList.toggle('has-pick', !!desk.picked);
    if (act) this.bar.querySelector(`[data-act="${act}"]`)?.focus();
  }

  // -- the legend: what is marked, and how it is drawn

  /** @param {Layer} layer */
  stateOf(layer) {
    const { marks } = this.desk;
    const lines = marks.linesOf(layer.key);
    const need = layer.need ? 'not yet' : 'if any';
    if (layer.kind === 'scale') {
      const items = marks.value.scale ?? [];
      const texts = items.map((s) => s.per_pixel ? `${s.per_pixel} per pixel` : s.length || s.thickness || '').filter(Boolean);
      return texts.length ? texts.join(', ') : items.length ? 'length missing' : isStraightened(marks.value) ? 'by rectangle' : 'not yet';
    }
    if (layer.many) return lines.length ? String(lines.filter((l) => l.points.length).length) : 'none';
    if (layer.key === 'plates.upright_far' && !lines[0]?.points.length) return marks.value.plates?.upright_thickness || 'if seen';
    const n = lines[0]?.points.length ?? 0;
    if (layer.kind === 'corners') return isStraightened(marks.value) ? marks.value.straighten.size.join(' × ') : n ? `${n} of 4 corners` : 'if askew';
    return n ? `${n} point${n === 1 ? '' : 's'}` : need;
  }

  drawLegend() {
    const { desk } = this;
    const error = this.errorLayer(this.trouble.hidden ? null : desk.error ?? desk.refusedSave);
    const layers = desk.marks.layers();
    const missing = (l) => l.need && /not yet|missing/.test(this.stateOf(l));
    const which = JSON.stringify(layers.map((l) => [l.key, l.name, l.kind]));
    if (which !== this.legendOf) {
      this.legendOf = which;
      this.rows = new Map(layers.map((layer) => {
        const state = h('span', { class: 'how-much' });
        const button = h('button', { type: 'button', onclick: () => desk.choose(layer.key === desk.layer ? null : layer.key) }, sample(layer.kind), h('span', { class: 'name' }, layer.name), state);
        return [layer.key, { li: h('li', { 'data-key': layer.key }, button), button, state }];
      }));
      this.legend.replaceChildren(...[...this.rows.values()].map((row) => row.li));
    }
    for (const layer of layers) {
      const { li, button, state } = this.rows.get(layer.key);
      const on = layer.key === desk.layer;
      li.className = [on && 'on', error === layer.key && 'amiss', missing(layer) && 'missing'].filter(Boolean).join(' ');
      button.setAttribute('aria-pressed', String(on));
      const words = this.stateOf(layer);
      if (state.textContent !== words) state.textContent = words;
      // Moved only when it is another one's: a field in it keeps the cursor.
      if (on && this.details.parentElement !== li) li.append(this.details);
    }
    if (!desk.layer) this.details.remove();
  }

  drawDetails(line) {
    const { desk } = this;
    const { marks } = desk;
    const layer = marks.layer(desk.layer);
    this.fields = [];
    if (!layer) {
      this.details.replaceChildren();
      return;
    }
    const focused = this.details.contains(document.activeElement) ? document.activeElement?.getAttribute('data-field') : null;
    const button = (words, f, kind = '') => h('button', { type: 'button', class: kind, onclick: f }, words);
    const out = [h('p', { class: 'how' }, how(layer, marks.joint))];
    this.wrong = h('p', { class: 'amiss', id: 'desk-wrong', hidden: true });
    out.push(this.wrong);

    if (layer.kind === 'scale') out.push(...this.scaleDetails(button));
    if (layer.kind === 'corners' && marks.value.straighten) {
      out.push(h('div', { class: 'row' }, this.textField('Width of the rectangle', ['straighten', 'size', 0], '50 mm'), this.textField('Height of the rectangle', ['straighten', 'size', 1], '30 mm')));
    }
    if (layer.key === 'plates.upright_far' || layer.key === 'plates.upright') {
      if (layer.key === 'plates.upright_far') out.push(this.textField('Upright’s thickness, if measured', ['plates', 'upright_thickness'], '5 mm'));
    }
    if (layer.key === 'plates.base') {
      out.push(h('div', { class: 'row' }, this.textField('Base thickness, if measured', ['plates', 'base_thickness'], '8 mm'), this.textField('Gap between the plates', ['plates', 'gap'], 'none')));
    }
    if (layer.key === 'plates.joint_line') out.push(this.textField('Gap between the plates', ['plates', 'gap'], 'none'));
    const lines = marks.linesOf(layer.key);
    if (layer.many && layer.kind !== 'scale' && lines.length) {
      out.push(h('ul', { class: 'each' }, ...lines.map((l) => h('li', {},
        h('button', { type: 'button', class: 'plain', 'aria-pressed': String(l.id === desk.line), onclick: () => desk.choose(layer.key, l.id) }, `${cap(l.name)}, ${l.points.length} point${l.points.length === 1 ? '' : 's'}`),
        button('Take away', () => this.takeAway(l), 'plain')))));
    }
    const actions = [];
    if (line && layer.kind !== 'scale') {
      if (!desk.drawing && line.points.length < line.most && this.narrow.matches) {
        actions.push(button('More points at its end', () => {
          desk.goOn();
          this.open(false);
        }));
      }
    }
    if (layer.many && layer.kind !== 'scale' && line && !desk.drawing) actions.push(button(`Another ${layer.kind === 'unfused' ? 'line' : layer.kind}`, () => desk.another(), 'main'));
    if (layer.kind === 'fused' && !desk.proposing && !desk.ghosts && !(line && line.points.length >= line.least)) actions.push(button('Propose from a place inside', () => desk.startProposing()));
    if (layer.kind === 'plate') {
      actions.push(button('Propose plates', () => desk.proposePlates(false)));
      if (line && line.points.length >= 2 && layer.key !== 'plates.joint_line') actions.push(button('Draw to the edge', () => desk.proposePlates(true)));
    }
    if (line && !layer.many) actions.push(button('Start again', () => this.takeAway(line)));
    if (actions.length) out.push(h('div', { class: 'choices' }, ...actions));
    if (line && !['scale', 'corners', 'plate'].includes(layer.kind)) out.push(this.followField(line));

    const shown = examples(layer, marks.joint);
    if (this.narrow.matches) out.push(h('div', { class: 'choices' }, button('Mark it on the photo', () => this.open(false), 'main')));
    const fold = h('details', { class: 'examples', open: !this.folded, ontoggle: () => {
      if (this.folded === !fold.open) return;
      this.folded = !fold.open;
      desk.remember('examples', this.folded);
    } }, h('summary', {}, 'Drawn example'), ...shown.map((e) => h('figure', {}, e.figure, h('figcaption', {}, e.words))));
    if (shown.length) out.push(fold);
    this.details.replaceChildren(...out);
    if (focused) this.details.querySelector(`[data-field="${focused}"]`)?.focus();
  }

  /** Says beside the fields of a layer what is wrong with it. */
  markWrong(error) {
    const here = error && this.errorLayer(error) === this.desk.layer;
    if (this.wrong) {
      this.wrong.hidden = !here;
      this.wrong.replaceChildren(...(here ? [h('strong', {}, sentence(error.fact)), ' ', sentence(error.advice ?? '')] : []));
    }
    for (const { path, input } of [...(this.fields ?? []), ...(this.blockFields ?? [])]) {
      const bad = !!error?.field && (error.field === path.join('.') || (here && error.field === `${path[0]}.${path.at(-1)}`));
      input.toggleAttribute('aria-invalid', bad);
      if (bad && here) input.setAttribute('aria-describedby', 'desk-wrong');
      else input.removeAttribute('aria-describedby');
    }
  }

  takeAway(line) {
    const { desk } = this;
    desk.marks.clear(line.id, `${line.name}: taken away`);
    desk.line = null;
    desk.picked = null;
    desk.drawing = true;
    this.say(`${line.name} taken away; undo brings it back`);
    this.refresh();
    desk.touch();
  }

  followField(line) {
    const { desk } = this;
    const [kind, i] = line.id.split('/');
    const select = h('select', { 'data-field': 'trace', onchange: () => desk.marks.edit(`${line.name}: ${select.value === 'straight' ? 'taken as set' : 'follows the photo'}`, (draft) => { draft[kind][+i].trace = select.value; }) },
      h('option', { value: 'guided' }, 'follow the photo'), h('option', { value: 'straight' }, 'straight, as set'));
    select.value = line.guided ? 'guided' : 'straight';
    return field('Between the points', select);
  }

  scaleDetails(button) {
    const { desk } = this;
    const { marks } = desk;
    const items = marks.value.scale ?? [];
    const out = [];
    items.forEach((item, i) => {
      const way = scaleWay(item);
      const select = h('select', { 'data-field': `way${i}`, onchange: () => this.setScaleWay(i, select.value) },
        h('option', { value: 'points' }, 'two points and a length'), h('option', { value: 'bar' }, 'a burned-in bar'),
        h('option', { value: 'thickness' }, 'across a plate that was measured'), h('option', { value: 'per_pixel' }, 'so much per pixel'));
      select.value = way;
      const parts = [field(items.length > 1 ? `Scale ${i + 1} is given by` : 'Given by', select)];
      if (way === 'per_pixel') parts.push(this.textField('Length of one pixel', ['scale', i, 'per_pixel'], '2.5 um'));
      else if (way === 'thickness') parts.push(this.textField('Thickness as measured on the coupon', ['scale', i, 'thickness'], '5.02 mm'));
      else parts.push(this.textField(way === 'bar' ? 'Length written at the bar' : 'Length between the points', ['scale', i, 'length'], '10 mm or 1/2 in'));
      if (way === 'bar') {
        const read = h('select', { 'data-field': `read${i}`, onchange: () => marks.edit('scale: how the bar is read', (draft) => { draft.scale[i].read = read.value; }) },
          ...[['unknown', 'I do not know'], ['inside', 'inside its end strokes'], ['centre', 'at the middle of its end strokes'], ['outside', 'outside its end strokes']].map(([value, words]) => h('option', { value }, words)));
        read.value = item.read ?? 'unknown';
        parts.push(field('The points are set', read));
      }
      const n = [item.from, item.to].filter(Boolean).length;
      const acts = [];
      if (way !== 'per_pixel' && n < 2) acts.push(button(n ? 'Set its second point' : 'Set its points', () => this.markScale(i), 'main'));
      acts.push(button('Take away', () => {
        marks.edit('scale taken away', (draft) => Marks.drop(draft, `scale/${i}`));
        desk.choose('scale');
      }, 'plain'));
      out.push(h('div', { class: 'scale-item' }, ...parts, h('div', { class: 'choices' }, ...acts)));
    });
    if (items.length === 0) {
      const select = h('select', { 'data-field': 'way', onchange: () => {
        desk.scaleWay = select.value;
        if (select.value === 'per_pixel') marks.edit('scale begun', (draft) => { draft.scale = [{ per_pixel: '' }]; });
        desk.choose('scale');
      } }, h('option', { value: 'points' }, 'two points and a length'), h('option', { value: 'bar' }, 'a burned-in bar'),
      h('option', { value: 'thickness' }, 'across a plate that was measured'), h('option', { value: 'per_pixel' }, 'so much per pixel'));
      select.value = desk.scaleWay;
      out.push(field('Given by', select));
    } else {
      out.push(h('div', { class: 'choices' }, button('A second scale, to compare', () => {
        desk.scaleWay = 'points';
        desk.another();
      })));
    }
    return out;
  }

  markScale(i) {
    this.desk.choose('scale', `scale/${i}`);
    this.desk.drawing = true;
    this.refresh();
  }

  setScaleWay(i, way) {
    const { desk } = this;
    desk.marks.edit('scale: given another way', (draft) => {
      const item = draft.scale[i];
      const text = SCALE_TEXTS.map((t) => item[t]).find((t) => t) ?? '';
      for (const name of [...SCALE_TEXTS, 'read']) delete item[name];
      if (way === 'per_pixel') {
        delete item.from;
        delete item.to;
        delete item.along;
        item.per_pixel = '';
      } else if (way === 'thickness') item.thickness = text;
      else {
        item.length = text;
        if (way === 'bar') item.read = 'unknown';
      }
    });
    desk.choose('scale', `scale/${i}`);
  }

  /** A text of the reading file, by its place. */
  textField(label, path, placeholder = '', list = null) {
    const name = path.join('.');
    const input = h('input', { type: 'text', autocomplete: 'off', 'data-field': name, placeholder, list, oninput: () => this.setText(path, input.value, label) });
    (this.fields ??= []).push({ path, input });
    const shown = this.valueAt(path);
    input.value = shown ?? '';
    return field(label, input, null);
  }

  valueAt(path) { return path.reduce((v, k) => v?.[k], this.desk.marks.value); }

  setText(path, text, label) {
    const value = text.trim() === '' ? undefined : text;
    this.desk.marks.edit(`${label.toLowerCase()} written`, (draft) => {
      let at = draft;
      for (const key of path.slice(0, -1)) at = at[key] ??= {};
      const name = path.at(-1);
      if (value !== undefined) at[name] = typeof at[name] === 'number' && /^\d+$/.test(text) ? +text : text;
      else if (path[0] === 'scale' || path[0] === 'straighten') at[name] = '';
      else delete at[name];
    }, `text ${path.join('.')}`);
  }

  setField(name, value) {
    const { desk } = this;
    desk.marks.edit(`${name}: ${value === true ? 'yes' : value === false ? 'no' : value}`, (draft) => { draft[name] = value; });
    if (!desk.layer) desk.goNext();
  }

  /** Shows in the fields what undo or the other person's marks have put there. */
  fillFields() {
    for (const { path, input } of [...(this.fields ?? []), ...(this.blockFields ?? [])]) {
      if (document.activeElement === input) continue;
      const now = String(this.valueAt(path) ?? '');
      if (input.value !== now) input.value = now;
    }
    if (this.etched) {
      const value = this.desk.marks.value.etched;
      const now = value === true ? 'yes' : value === false ? 'no' : '';
      if (this.etched.value !== now) this.etched.value = now;
      const held = this.desk.marks.value.camera?.held ?? '';
      if (this.held.value !== held) this.held.value = held;
      if (this.joint.value !== this.desk.marks.joint) this.joint.value = this.desk.marks.joint;
      const both = this.desk.marks.both;
      this.sides.value = both === null ? '' : both ? 'both' : 'one';
      this.sides.closest('.box').hidden = this.desk.marks.joint === 'bead';
      const scale = this.desk.answer?.mm_per_px;
      this.scaleNote.textContent = scale ? `${(scale * 1000).toPrecision(4)} µm per pixel` : 'no scale yet';
    }
  }

  // -- the title block

  buildTitleBlock() {
    const { desk } = this;
    const cell = (label, control, kind = '') => {
      control.id ||= fresh();
      return h('div', { class: `box ${kind}` }, control.matches('input,select') ? h('label', { for: control.id }, label) : h('span', { class: 'label' }, label), control);
    };
    this.fields = [];
    const text = (label, path, placeholder = '') => {
      const el = this.textField(label, path, placeholder).querySelector('input');
      return cell(label, el);
    };
    const choice = (label, pairs, set) => {
      const select = h('select', { onchange: () => set(select.value) }, ...pairs.map(([value, words]) => h('option', { value }, words)));
      return select;
    };
    this.etched = choice('Etched', [['', 'not said'], ['yes', 'yes'], ['no', 'no']], (v) => v && this.setField('etched', v === 'yes'));
    this.held = choice('Camera', [['', 'not said'], ['hand', 'by hand'], ['stand', 'stand'], ['microscope', 'microscope']], (v) => desk.marks.edit('camera written', (draft) => {
      draft.camera ??= {};
      if (v) draft.camera.held = v;
      else delete draft.camera.held;
    }));
    this.joint = choice('Joint', [['tee', 'tee'], ['butt', 'butt'], ['bead', 'bead']], (v) => {
      this.setField('joint', v);
      desk.choose(null);
      desk.goNext();
    });
    this.sides = choice('Welded', [['', 'not said'], ['one', 'one side'], ['both', 'both sides']], (v) => {
      if (!v) return;
      desk.marks.bothSaid = v === 'both';
      desk.remember('both', desk.marks.bothSaid);
      desk.marks.version += 1;
      desk.reader.want();
      this.refresh();
    });
    this.saveNote = h('span', { class: 'value' });
    this.scaleNote = h('span', { class: 'value' });
    const reason = h('input', { type: 'text', autocomplete: 'off', placeholder: 'said by itself if left empty', oninput: () => { desk.saver.reason = reason.value; } });
    this.reasonInput = reason;
    this.titleBlock.append(
      h('div', { class: 'grid' },
        text('Coupon', ['coupon']), text('Section', ['section']), text('Reader', ['reader']),
        cell('Joint', this.joint), cell('Welded', this.sides), cell('Etched', this.etched), cell('Camera', this.held),
        text('Cut turned off square to the seam', ['cut', 'yaw'], 'square, or 12 deg'), text('or only known within', ['cut', 'yaw_within'], '5 deg'),
        text('Cut tilted from the upright', ['cut', 'pitch'], 'upright, or 8 deg'),
        cell('Scale', this.scaleNote), cell('Photo', h('span', { class: 'value' }, desk.marks.value.photo ?? desk.name)),
        cell('You', h('span', { class: 'value' }, desk.author || this.nameLink()), 'wide'),
        cell('Reason for this change', reason, 'wide'),
        h('div', { class: 'box wide save' }, h('span', { class: 'label' }, 'Record'), this.saveNote, h('button', { type: 'button', title: 'Save (Ctrl+S)', onclick: () => desk.saver.save() }, 'Save'),
          h('a', { href: `/record/${desk.section}/history` }, 'Who changed what'))));
    this.blockFields = this.fields;
    this.fields = [];
  }

  // -- figures

  drawTable() {
    const { desk } = this;
    const rows = desk.answer?.rows ?? [];
    if (!rows.length) {
      this.table.replaceChildren();
      this.cells = null;
      return;
    }
    // The same readings with other values: only the texts change.
    const which = JSON.stringify([rows.map((r) => [r.weld, r.reading, r.main]), !!this.allRows, (desk.answer.dims ?? []).map((d) => d.weld + d.reading)]);
    if (this.cells?.which === which) {
      for (const row of rows) {
        const cells = this.cells.of.get(`${row.weld}/${row.reading}`);
        if (!cells) continue;
        const texts = [row.value, row.u ?? '', row.within ?? '', this.allRows && row.mostly && row.mostly !== '-' ? `mostly ${row.mostly}` : ''];
        cells.forEach((cell, i) => { if (cell.textContent !== texts[i]) cell.textContent = texts[i]; });
      }
      return;
    }
    this.cells = { which, of: new Map() };
    const welds = [...new Set(rows.map((r) => r.weld))];
    const rest = rows.filter((r) => !r.main).length;
    const wasOpen = this.table.querySelector('details')?.open ?? true;
    const light = (row) => {
      desk.hot = row ? { weld: row.weld, reading: row.reading } : null;
      desk.touch();
    };
    const dims = new Set((desk.answer.dims ?? []).map((d) => `${d.weld}/${d.reading}`));
    const body = (weld) => rows.filter((r) => r.weld === weld && (r.main || this.allRows)).sort((a, b) => rank(a) - rank(b)).map((row) => {
      const name = dims.has(`${row.weld}/${row.reading}`)
        ? h('button', { type: 'button', class: 'plain', title: 'Show on the photo', onfocus: () => light(row), onblur: () => light(null), onclick: () => {
          light(row);
          this.showDim(row);
        } }, row.words) : row.words;
      const cells = [h('td', { class: 'value' }, row.value), h('td', {}, row.u ?? ''), h('span', {}, row.within ?? ''),
        h('span', { class: 'mostly' }, this.allRows && row.mostly && row.mostly !== '-' ? `mostly ${row.mostly}` : '')];
      this.cells.of.set(`${weld}/${row.reading}`, cells);
      return h('tr', { onpointerenter: () => light(row), onpointerleave: () => light(null) },
        h('th', { scope: 'row' }, name, cells[3]), cells[0], cells[1], h('td', { class: 'within' }, cells[2]));
    });
    const tables = welds.map((weld) => {
      const trs = body(weld);
      if (!trs.length) return null;
      return h('table', {},
        welds.length > 1 || weld ? h('caption', {}, weldName(weld)) : null,
        h('thead', {}, h('tr', {}, h('th', { scope: 'col' }, 'reading'), h('th', { scope: 'col' }, 'value'), h('th', { scope: 'col' }, 'u'), h('th', { scope: 'col' }, '95 %'))),
        h('tbody', {}, ...trs));
    });
    this.table.replaceChildren(h('details', { open: wasOpen }, h('summary', {}, 'Figures'),
      ...tables.filter(Boolean),
      rest ? h('button', { type: 'button', class: 'plain', 'aria-expanded': String(!!this.allRows), onclick: () => {
        this.allRows = !this.allRows;
        this.refresh();
      } }, this.allRows ? 'Main figures only' : `All ${rows.length} figures, and what their doubt comes from`) : null));
  }

  showDim(row) {
    const { desk } = this;
    const dim = desk.answer?.dims?.find((d) => d.weld === row.weld && d.reading === row.reading);
    if (!dim) return;
    if (this.narrow.matches) this.open(false);
    const [a, b] = [desk.view.toScreen(dim.from), desk.view.toScreen(dim.to)];
    const off = [a, b].some(([u, v]) => u < 0 || v < 0 || u > desk.view.w || v > desk.view.h);
    if (off || Math.hypot(a[0] - b[0], a[1] - b[1]) < 40) {
      const pad = Math.hypot(dim.to[0] - dim.from[0], dim.to[1] - dim.from[1]);
      desk.view.show(Math.min(dim.from[0], dim.to[0]) - pad, Math.min(dim.from[1], dim.to[1]) - pad, Math.max(dim.from[0], dim.to[0]) + pad, Math.max(dim.from[1], dim.to[1]) + pad);
    }
    desk.touch();
  }

  drawRemarks() {
    const { answer } = this.desk;
    const out = [];
    const absent = answer?.absent ?? [];
    if (answer?.beside?.length) out.push(h('p', {}, 'A second line runs beside an outline (dotted, sky blue). Look which of the two is the fusion line: the outer edge of the heat-affected zone lies outside it.'));
    for (const remark of answer?.remarks ?? []) out.push(h('p', {}, sentence(remark)));
    if (absent.length) {
      const byWhy = new Map();
      for (const a of absent) byWhy.set(a.why, [...(byWhy.get(a.why) ?? []), a.words]);
      for (const [why, names] of byWhy) out.push(h('p', {}, h('span', { class: 'label' }, 'Not given: '), `${names.join(', ')}: ${why}${/[.!?]$/.test(why) ? '' : '.'}`));
    }
    if (answer) out.push(h('p', { class: 'small' }, 'A macro section does not show microcracks. Static strength only; u is one standard uncertainty.'));
    this.remarks.replaceChildren(...(out.length ? [h('h2', {}, 'Remarks'), ...out] : []));
  }

  // -- view only

  viewFold() {
    this.look = { ...PLAIN };
    const range = (label, key, min, max, step, show) => {
      const input = h('input', { type: 'range', min, max, step, value: this.look[key], oninput: () => {
        this.look[key] = +input.value;
        out.textContent = show(+input.value);
        this.applyLook();
      } });
      const out = h('output', {}, show(this.look[key]));
      this.lookInputs.push({ key, input, out, show });
      input.id = fresh();
      return h('div', { class: 'range' }, h('label', { for: input.id }, label), input, out);
    };
    const tick = (label, key) => {
      const input = h('input', { type: 'checkbox', onchange: () => {
        this.look[key] = input.checked;
        this.applyLook();
      } });
      this.lookInputs.push({ key, input, tick: true });
      return h('label', { class: 'check' }, input, h('span', {}, label));
    };
    this.lookInputs = [];
    const pc = (v) => `${Math.round(v * 100)} %`;
    const dims = h('select', { onchange: () => {
      this.desk.dimsShown = dims.value;
      this.desk.touch();
    } }, h('option', { value: 'main' }, 'the main ones'), h('option', { value: 'all' }, 'all'), h('option', { value: 'none' }, 'none'));
    const hide = h('input', { type: 'checkbox', onchange: () => {
      this.desk.hideMarks = hide.checked;
      this.desk.touch();
    } });
    const mixes = h('div', { class: 'mix' }, range('Red', 'red', 0, 1, 0.05, pc), range('Green', 'green', 0, 1, 0.05, pc), range('Blue', 'blue', 0, 1, 0.05, pc));
    this.mixes = mixes;
    const fold = h('details', { class: 'part view-fold' }, h('summary', {}, 'How the photo is shown'),
      h('p', { class: 'small' }, 'For the eye only: readings are always taken from the photo as it is.'),
      range('Contrast', 'contrast', 0.5, 3, 0.05, pc), range('Brightness', 'brightness', 0.4, 2.5, 0.05, pc),
      tick('Even out light and dark over the photo', 'local'), tick('One grey picture, mixed from the colours', 'mix'), mixes,
      field('Dimensions drawn', dims), h('label', { class: 'check' }, hide, h('span', {}, 'Photo only, without marks')),
      h('button', { type: 'button', onclick: () => this.resetView() }, 'Show as taken'));
    mixes.hidden = true;
    return fold;
  }

  resetView() {
    this.look = { ...PLAIN };
    for (const { key, input, out, show, tick } of this.lookInputs) {
      if (tick) input.checked = this.look[key];
      else {
        input.value = String(this.look[key]);
        out.textContent = show(this.look[key]);
      }
    }
    this.applyLook();
  }

  applyLook() {
    const { look, desk } = this;
    this.mixes.hidden = !look.mix;
    const parts = [];
    if (look.mix) {
      const sum = look.red + look.green + look.blue || 1;
      const row = `${look.red / sum} ${look.green / sum} ${look.blue / sum} 0 0`;
      if (!this.matrix) {
        const svg = document.createElementNS(NS, 'svg');
        for (const [k, v] of [['width', '0'], ['height', '0'], ['aria-hidden', 'true'], ['class', 'aloud']]) svg.setAttribute(k, v);
        const filter = document.createElementNS(NS, 'filter');
        filter.id = 'desk-mix';
        filter.setAttribute('color-interpolation-filters', 'sRGB');
        this.matrix = document.createElementNS(NS, 'feColorMatrix');
        filter.append(this.matrix);
        svg.append(filter);
        this.main.append(svg);
      }
      this.matrix.setAttribute('values', `${row} ${row} ${row} 0 0 0 1 0`);
      parts.push('url(#desk-mix)');
    }
    if (look.brightness !== 1) parts.push(`brightness(${look.brightness})`);
    if (look.contrast !== 1) parts.push(`contrast(${look.contrast})`);
    desk.view.layer.style.filter = parts.join(' ');
    desk.view.setLocal(look.local);
    this.refresh();
    desk.touch();
  }

  keysFold() {
    const rows = [
      ['+  −  0', 'zoom in, out, fit'], ['arrows', 'move the photo; with a point picked, move the point by 1 px (Shift 10, Alt ¼)'],
      ['Space', 'set a point at the cross in the middle'], ['[  ]', 'pick the point before, after (also Tab, once one is picked)'],
      ['Enter', 'end the outline'], ['Delete', 'take the picked point away'], ['H', 'hold or release it'], ['Esc', 'let go'],
      ['Ctrl+Z', 'undo; with Shift: redo'], ['Ctrl+S', 'save'],
    ];
    return h('details', { class: 'part keys-fold' }, h('summary', {}, 'Keys and fingers'),
      h('dl', {}, ...rows.flatMap(([k, words]) => [h('dt', {}, k), h('dd', {}, words)])),
      h('p', {}, 'Mouse: click sets a point, drag moves it, drag beside it moves the photo, the wheel zooms. '
        + 'Finger: tap sets a point; rest the finger to set it under the magnifier; tap a point and then drag it, wherever the finger is near it; two fingers zoom.'));
  }
}

const PLAIN = { contrast: 1, brightness: 1, local: false, mix: false, red: 0.3, green: 0.6, blue: 0.1 };
const cap = (words) => words.charAt(0).toUpperCase() + words.slice(1);

/** A sentence whose figures stay beside their units; its text is as it was. */
function unbroken(words) {
  return words.split(/(\(?(?:u )?[\d.,]+ (?:mm²?|µm|in|%)\)?)/).map((part, i) => (i % 2 ? h('span', { class: 'whole' }, part) : part));
}

/** A fact as a sentence. */
function sentence(words) {
  const text = String(words).trim();
  if (!text) return '';
  return /[.!?…]$/.test(text) ? cap(text) : `${cap(text)}.`;
}

/** The effective throat first, then the main figures. */
const rank = (row) => (/^effective_throat/.test(row.reading) ? 0 : row.main ? 1 : 2);

const weldName = (weld) => (!weld ? 'Readings' : ['left', 'right', 'top', 'bottom'].includes(weld) ? `${cap(weld)} weld` : cap(String(weld)));

function arrowSign(turn) {
  const svg = document.createElementNS(NS, 'svg');
  svg.setAttribute('viewBox', '-10 -10 20 20');
  svg.setAttribute('width', '18');
  svg.setAttribute('height', '18');
  svg.setAttribute('aria-hidden', 'true');
  const path = document.createElementNS(NS, 'path');
  path.setAttribute('d', 'M-7 0H7M1 -6L7 0L1 6');
  path.setAttribute('transform', `rotate(${turn})`);
  path.setAttribute('class', 'stroke');
  svg.append(path);
  return svg;
}

/** A sample of the line as it is drawn on the photo. */
function sample(kind) {
  const look = LOOK[kind];
  const svg = document.createElementNS(NS, 'svg');
  for (const [k, v] of [['viewBox', '0 0 34 12'], ['width', '34'], ['height', '12'], ['class', 'sample'], ['aria-hidden', 'true']]) svg.setAttribute(k, v);
  const line = (stroke, width, dash) => {
    const el = document.createElementNS(NS, 'path');
    el.setAttribute('d', kind === 'scale' ? 'M2 6H32M2 1V11M32 1V11' : kind === 'pore' ? 'M17 1.5a4.5 4.5 0 1 0 .01 0Z' : 'M1 6H33');
    el.setAttribute('fill', 'none');
    el.setAttribute('stroke', stroke);
    el.setAttribute('stroke-width', String(width));
    if (dash.length) el.setAttribute('stroke-dasharray', dash.join(' '));
    return el;
  };
  const bare = look.colour === '#ffffff';
  svg.append(line('#0d1216', look.width + 2.4, bare ? [] : look.dash), line(look.colour, look.width + 0.4, bare ? [] : look.dash));
  return svg;
}
