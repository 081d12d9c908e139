// What is still missing, said as one sentence; how each thing is set, in words and small drawings.

/** @typedef {import('./desk-marks.js').Marks} Marks */
/** @typedef {import('./desk-marks.js').Layer} Layer */
import { isStraightened, scaleIsWhole, scaleWay } from './desk-marks.js';

/** A short sentence on how to set each thing. @param {Layer} layer @param {string} joint */
export function how(layer, joint) {
  switch (layer.key.startsWith('plates.') ? layer.key.slice(7) : layer.kind) {
    case 'scale':
      return 'Set a point at each end of a length that you know: two marks of a ruler as far apart as the photo shows, '
        + 'the ends of a burned-in bar, or across a plate that you measured. Then write the length.';
    case 'corners':
      return 'Only for a photo taken askew: set the four corners of a rectangle that lies in the plane of the section, '
        + 'clockwise from its upper left, and write how wide and how high it is. It gives the scale as well.';
    case 'surface':
      return joint === 'butt'
        ? 'Set two points or more on the original top surface, clear of the weld. With two on each plate, a step between the plates shows too.'
        : 'Set points on the plate’s original surface, on both sides of the bead and clear of it.';
    case 'bottom': return 'Set two points or more on the original bottom surface, clear of the root.';
    case 'joint_line':
      return 'Set two points on the line where the plates met before welding, one near the top and one near the bottom. '
        + 'Where it is melted away, take the unfused rest or witness lines.';
    case 'base':
      return 'Set two points or more on the base plate’s top surface, clear of the weld and well apart; '
        + 'with welds on both sides, on both sides of the upright.';
    case 'upright': return 'Set two points on the upright’s face on the weld’s side, above the weld and well apart.';
    case 'upright_left': return 'Set two points on the upright’s left face, above the weld and well apart.';
    case 'upright_right': return 'Set two points on the upright’s right face, above the weld and well apart.';
    case 'upright_far': return 'Set two points on the upright’s other face, or write its thickness.';
    case 'fused':
      return 'Go round what was molten, in order: start at a toe, along the fusion line to the other toe, and back over the face. '
        + 'About eight points do; between them the line follows what the photo shows.';
    case 'affected': return 'Go round the outer edge of the heat-affected zone, in order. The throat does not need it.';
    case 'pore': return 'Go round the pore or void. Each has its own outline.';
    case 'crack': return 'Set points along the crack from end to end.';
    case 'unfused': return 'Set points along the line where metal lies against metal unfused.';
    default: return '';
  }
}

/** With so many points a line is done by itself. @param {Marks} marks @param {import('./desk-marks.js').Line} line */
export function enough(marks, line) {
  if (line.kind === 'scale' || line.id === 'plates/joint_line') return 2;
  if (line.kind === 'corners') return 4;
  if (line.kind !== 'plate') return Infinity;
  const wide = (line.id === 'plates/base' && marks.both) || (marks.joint === 'butt' && /surface|bottom/.test(line.id));
  return wide ? 4 : 2;
}

const COUNT = ['no', 'one', 'two', 'three', 'four', 'five', 'six', 'seven', 'eight'];
const count = (n) => COUNT[n] ?? String(n);

/**
 * What to do next.
 * @param {Marks} marks
 * @param {{drawing: boolean, line: string|null, answer: any}} hand
 * @returns {{words: string, layer: string|null, ask: string|null, done: boolean}}
 */
export function next(marks, hand) {
  const v = marks.value;
  const go = (words, layer, ask = null) => ({ words, layer, ask, done: false });
  const line = marks.line(hand.line);
  if (hand.drawing && line && line.points.length > 0 && line.points.length < line.most) {
    const n = line.points.length;
    if (n < line.least) {
      if (line.kind === 'scale') return go('Set the second point, at the other end of the length.', line.layer);
      if (line.kind === 'plate') return go(`Set one more point on the ${faceWord(line.id)}, well away from the first.`, line.layer);
      if (line.kind === 'corners') return go(`Set the next corner of the rectangle, clockwise: ${count(n)} set, four are needed.`, line.layer);
      if (line.closed) return go(`Go on along the line of the ${line.name}: ${count(n)} set, three at least.`, line.layer);
      return go(`Set the next point along the ${line.name}.`, line.layer);
    }
    if (line.kind === 'plate') {
      const other = line.id === 'plates/base' ? 'the other side of the upright' : 'the other plate';
      return n < enough(marks, line)
        ? go(`Set ${count(4 - n)} more on ${other}, if the photo shows it, or say that it is done.`, line.layer)
        : go('Set further points, or say that it is done.', line.layer);
    }
    if (!line.closed) return go(`Set further points along the ${line.name}, or say that it is done.`, line.layer);
    if (line.closed) {
      return go(`Go on round the ${line.name}; back at the first point, end the outline.`, line.layer);
    }
  }
  if (typeof v.etched !== 'boolean') return go('Was the face etched? Without etching no fusion line shows, and no throat is given.', null, 'etched');
  const scales = v.scale ?? [];
  if (!scales.some(scaleIsWhole) && !isStraightened(v)) {
    const begun = scales.find((item) => item.from && item.to && scaleWay(item) !== 'per_pixel');
    if (begun) return go('Write how long it is from the one point of the scale to the other, for example 10 mm or 1/2 in.', 'scale', 'length');
    return go('Set two points on the scale, as far apart as the photo shows, and write the length between them.', 'scale');
  }
  const sides = v.straighten?.corners?.length === 4 && !isStraightened(v);
  if (sides) return go('Write how wide and how high the rectangle is.', 'straighten');
  if (marks.both === null) {
    return marks.joint === 'tee'
      ? go('Is there a weld on one side of the upright, or on both?', null, 'both')
      : go('Was it welded from the top only, or from both sides?', null, 'both');
  }
  for (const layer of marks.layers().filter((l) => l.need && l.kind === 'plate')) {
    const points = marks.linesOf(layer.key)[0]?.points.length ?? 0;
    if (points >= 2) continue;
    const where = faceWord(layer.key);
    const clear = layer.key === 'plates.joint_line' ? 'one near each surface' : 'clear of the weld';
    return points === 1
      ? go(`Set one more point on the ${where}, well away from the first.`, layer.key)
      : go(`Set two points on the ${where}, ${clear}.`, layer.key);
  }
  const zones = marks.layers().filter((l) => l.need && l.kind === 'fused');
  const open = zones.filter((layer) => (marks.linesOf(layer.key)[0]?.points.length ?? 0) < 3);
  if (open.length) {
    const begun = open.find((layer) => (marks.linesOf(layer.key)[0]?.points.length ?? 0) > 0) ?? open[0];
    const n = marks.linesOf(begun.key)[0]?.points.length ?? 0;
    if (n) return go(`Go on along the line of the ${begun.name.toLowerCase()}: ${count(n)} set, three at least.`, begun.key);
    const other = zones.length > open.length && hand.answer ? ' One weld is read already.' : '';
    return go(`Outline the ${begun.name.toLowerCase()}: start at a toe and go along the fusion line.${other}`, begun.key);
  }
  return {
    words: 'All that a reading needs is marked. Look along the outlines; mark pores, cracks and lack of fusion if there are any.',
    layer: null, ask: null, done: true,
  };
}

function faceWord(key) {
  return {
    surface: 'plate’s top surface', bottom: 'bottom surface', joint_line: 'joint line', base: 'base plate’s top surface',
    upright: 'upright’s face on the weld’s side', upright_left: 'upright’s left face', upright_right: 'upright’s right face',
    upright_far: 'upright’s other face',
  }[key.replace(/^plates[./]/, '')] ?? 'surface';
}

const NS = 'http://www.w3.org/2000/svg';
const svg = (name, attributes, ...children) => {
  const el = document.createElementNS(NS, name);
  for (const [k, v] of Object.entries(attributes)) el.setAttribute(k, String(v));
  el.append(...children);
  return el;
};

/** Parts of the drawn examples: a tee with a weld at its right, a butt, a bead. */
const PLATES = {
  tee: ['M10 78H190V108H10Z', 'M78 6H104V78H78Z'],
  butt: ['M10 46H99V92H10Z', 'M101 46H190V92H101Z'],
  bead: ['M10 50H190V104H10Z'],
};
const ZONE = {
  tee: 'M146 78 C132 84 108 88 92 80 C97 74 98 62 104 42 L146 78Z',
  butt: 'M62 46 C74 66 92 88 100 92 C108 88 126 66 138 46 C118 38 82 38 62 46Z',
  bead: 'M58 50 C66 74 86 84 100 84 C114 84 134 74 142 50 C122 38 78 38 58 50Z',
};
const ROUND = {
  tee: [[146, 78], [122, 85], [99, 84], [96, 72], [100, 57], [104, 42], [125, 60]],
  butt: [[62, 46], [80, 74], [100, 92], [120, 74], [138, 46], [100, 40]],
  bead: [[58, 50], [70, 74], [100, 84], [130, 74], [142, 50], [100, 41]],
};

/**
 * A small drawn example of where the points go.
 * @param {Layer} layer @param {string} joint
 * @returns {{figure: SVGElement, words: string}[]}
 */
export function examples(layer, joint) {
  const face = layer.key.replace('plates.', '');
  // Plates and scale are drawn whole, what lies in the weld from close by.
  const near = !['scale', 'corners', 'plate'].includes(layer.kind);
  const box = !near ? '0 0 200 118' : { tee: '66 24 104 74', butt: '42 20 116 84', bead: '38 24 124 84' }[joint];
  const dots = (points, kind = 'spot') => points.map(([x, y]) => svg('circle', { cx: x, cy: y, r: near ? 2.2 : 3.6, class: kind }));
  const label = (text, x, y, anchor = 'start') => {
    const el = svg('text', { x, y, 'text-anchor': anchor, 'font-size': near ? 5.6 : 10 });
    el.textContent = text;
    return el;
  };
  const line = (d, kind) => svg('path', { d, class: kind });
  const draw = (name, ...children) => {
    const figure = svg('svg', { viewBox: box, role: 'img', class: 'example' });
    const title = svg('title', {});
    title.textContent = name;
    figure.append(title, ...children);
    return figure;
  };
  // Made anew for each drawing: an element stands in one place only.
  const plates = () => PLATES[joint].map((d) => line(d, 'plate'));
  if (layer.kind === 'scale') {
    const ruler = [svg('rect', { x: 10, y: 20, width: 180, height: 34, class: 'plate' }),
      ...Array.from({ length: 17 }, (_, i) => line(`M${20 + i * 10} 20v${i % 5 ? 8 : 15}`, 'thin'))];
    const bar = (y, from, to, words) => [line(`M60 ${y}H140M60 ${y - 7}v14M64 ${y - 7}v14M136 ${y - 7}v14M140 ${y - 7}v14`, 'thin'), ...dots([[from, y], [to, y]]), label(words, 150, y + 4)];
    return [
      { figure: draw('Two points on a ruler', ...ruler, ...dots([[20, 20], [180, 20]]), line('M20 72H180M20 66v12M180 66v12', 'dimension'), label('16 mm', 100, 88, 'middle')), words: 'A ruler: the same edge of two marks, far apart.' },
      { figure: draw('A burned-in bar read inside, at the centre, or outside its end strokes', ...bar(24, 64, 136, 'inside'), ...bar(56, 62, 138, 'centre'), ...bar(88, 60, 140, 'outside')), words: 'A burned-in bar: makers count its length differently. If you do not know, say so: the doubt is then counted.' },
    ];
  }
  if (layer.kind === 'corners') {
    const at = [[40, 14], [172, 24], [160, 104], [24, 88]];
    return [{
      figure: draw('Four corners, clockwise', line(`M${at.map((p) => p.join(' ')).join('L')}Z`, 'plate'), ...dots(at), ...at.map(([x, y], i) => label(String(i + 1), x + 5, y + (i < 2 ? -4 : 12)))),
      words: 'Four corners of a label or a frame that lies in the section’s plane.',
    }];
  }
  if (layer.kind === 'plate') {
    const at = {
      base: layer.key && [[152, 78], [184, 78], [16, 78], [44, 78]],
      upright: [[104, 10], [104, 32]], upright_right: [[104, 10], [104, 32]], upright_left: [[78, 10], [78, 32]], upright_far: [[78, 10], [78, 60]],
      surface: joint === 'bead' ? [[16, 50], [44, 50], [156, 50], [184, 50]] : [[16, 46], [48, 46], [152, 46], [184, 46]],
      bottom: [[16, 92], [60, 92], [140, 92], [184, 92]],
      joint_line: [[100, 50], [100, 88]],
    }[face] ?? [];
    return [{
      figure: draw('Points on the plate, clear of the weld', ...plates(), line(ZONE[joint], 'zone'), ...dots(at)),
      words: face === 'joint_line' ? 'The joint line: from surface to surface.' : 'On the plate as it was before welding, clear of the weld.',
    }];
  }
  if (layer.kind === 'fused') {
    const toes = joint === 'tee' ? [[146, 78], [104, 42]] : joint === 'butt' ? [[62, 46], [138, 46]] : [[58, 50], [142, 50]];
    const names = joint === 'tee'
      ? [label('toe', 149, 75), label('toe', 107, 40), label('face', 128, 58), label('fusion line', 118, 93, 'middle')]
      : [label('toe', toes[0][0] - 4, toes[0][1] - 6, 'end'), label('toe', toes[1][0] + 4, toes[1][1] - 6), label('face', 100, 30, 'middle'), label('fusion line', 138, 82)];
    return [
      { figure: draw('Points round the fused zone', ...plates(), line(ZONE[joint], 'zone'), ...dots(ROUND[joint]), ...ROUND[joint].map(([x, y], i) => label(String(i + 1), x + 3, y - 3))), words: 'Points in order round the fused zone; the last one joins the first.' },
      { figure: draw('Toe, face and fusion line', ...plates(), line(ZONE[joint], 'zone'), ...dots(toes, 'toe'), ...names), words: 'A toe is the last fused point on the plate’s surface. Metal that only lies on the plate is past it.' },
    ];
  }
  if (layer.kind === 'affected') {
    const d = joint === 'tee' ? 'M158 78 C138 98 96 100 84 78 C90 62 92 46 104 28' : joint === 'butt' ? 'M48 46 C66 72 84 92 92 92 M108 92 C116 92 134 72 152 46' : 'M44 50 C54 88 80 98 100 98 C120 98 146 88 156 50';
    return [{ figure: draw('The fusion line and the edge of the heat-affected zone', ...plates(), line(ZONE[joint], 'zone'), line(d, 'band'), label('outer edge', joint === 'tee' ? 132 : 126, joint === 'tee' ? 95 : 98)), words: 'Two lines lie beside each other: the inner one is the fusion line, the outer one the edge of the heat-affected zone.' }];
  }
  if (layer.kind === 'pore') {
    return [{ figure: draw('An outline round a pore', ...plates(), line(ZONE[joint], 'zone'), svg('ellipse', { cx: 116, cy: 66, rx: 7, ry: 6, class: 'hole' }), ...dots([[109, 66], [116, 60], [123, 66], [116, 72]])), words: 'Four points or more round its edge.' }];
  }
  const d = joint === 'tee' ? 'M92 78H104' : 'M100 70V92';
  const ends = joint === 'tee' ? [[92, 78], [104, 78]] : [[100, 70], [100, 92]];
  return [{
    figure: draw('Points along the line', ...plates(), line(ZONE[joint], 'zone'), line(layer.kind === 'crack' ? 'M112 84L118 72L114 64L122 54' : d, 'flaw'), ...dots(layer.kind === 'crack' ? [[112, 84], [118, 72], [114, 64], [122, 54]] : ends)),
    words: layer.kind === 'crack' ? 'From end to end; a macro does not show microcracks.' : 'From end to end, where nothing melted together.',
  }];
}
