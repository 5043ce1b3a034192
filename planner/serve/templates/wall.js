// Where they hang, drawn on a wall from the front, and lids from above. The fields are what is sent: the drawing
// follows them, and a drag only writes into them. What is allowed is for the computer to say.
const drawing = document.getElementById('drawing');
const FIELDS = {
  line: {length: 'Length', left: 'From the left', above: 'Above the floor'},
  board: {width: 'Width', height: 'Height', left: 'From the left', above: 'Above the floor'},
  lid: {width: 'Width', length: 'Length'},
  'round lid': {diameter: 'Diameter'},
};
const USUAL = {line: {length: 120, left: 20, above: 150}, board: {width: 60, height: 45, left: 20, above: 60}, lid: {width: 40, length: 28}, 'round lid': {diameter: 9}}; // cm
const NEXT = {line: {above: -20}, board: {left: 65}, lid: {}, 'round lid': {}}; // cm from one to the next that is added by a button
const TAP = 10; // px: what moves less is no drag
const CORNER = 16; // px: how near a finger has to be
const LETTER = 7; // px: how wide one of a name is, about

function shape(name, props, text) {
  const node = document.createElementNS('http://www.w3.org/2000/svg', name);
  for (const [key, value] of Object.entries(props)) node.setAttribute(key, value);
  if (text !== undefined) node.textContent = text;
  return node;
}

function startWall() {
  const svg = document.getElementById('wall');
  const list = document.getElementById('places');
  const units = drawing.form.elements.units;
  const cm = () => (units.value === 'in' ? 2.54 : 1);
  const unit = () => (units.value === 'in' ? 'in' : 'cm');
  const step = () => (units.value === 'in' ? 0.5 : 1);
  const number = (input) => Math.max(0, Number(input.value.replace(',', '.')) || 0);
  const tidy = (value) => Math.max(0, Math.round(value / step()) * step());
  const rows = () => [...list.children];
  const input = (row, key) => row.querySelector(`[data-key=${key}]`);
  const get = (row, key) => number(input(row, key));
  const set = (row, values) => { for (const [key, value] of Object.entries(values)) input(row, key).value = String(tidy(value)); };
  const wall = () => ['wall_width', 'wall_height'].map((name) => number(drawing.form.elements[name]) || 200 / cm());
  let made = 0, chosen = null, drag = null, lids = new Map(), low = 0;

  const lies = (row) => row.dataset.kind.endsWith('lid');
  const word = (row) => (lies(row) ? 'tub' : row.dataset.kind);
  const nameOf = (row) => `${word(row)}-${rows().filter((one) => word(one) === word(row)).indexOf(row) + 1}`;
  const measures = (row) => Object.keys(FIELDS[row.dataset.kind]).filter((key) => !['left', 'above'].includes(key)).map((key) => input(row, key).value || '?').join(' × ');

  function add(kind, values) {
    made += 1;
    const row = document.createElement('div');
    row.dataset.kind = kind;
    row.setAttribute('role', 'group');
    const head = document.createElement('div');
    const remove = Object.assign(document.createElement('button'), {type: 'button', textContent: 'Remove'});
    remove.addEventListener('click', () => { row.remove(); chosen = null; say(''); drawing.querySelector(`[data-add="${kind}"]`).focus(); });
    head.append(document.createElement('b'), remove);
    row.append(head, Object.assign(document.createElement('input'), {type: 'hidden', name: `place_${made}_kind`, value: kind}));
    for (const [key, words] of Object.entries(FIELDS[kind])) {
      const label = Object.assign(document.createElement('label'), {textContent: `${words} `});
      const field = Object.assign(document.createElement('input'), {name: `place_${made}_${key}`, inputMode: 'decimal', maxLength: 7, autocomplete: 'off'});
      field.dataset.key = key;
      label.append(field);
      row.append(label);
    }
    row.addEventListener('focusin', () => choose(row));
    list.append(row);
    set(row, values);
    choose(row);
    say(`${nameOf(row)}: ${measures(row)} ${unit()}. Type what you measured.`);
    return row;
  }

  function choose(row) {
    if (chosen === row) return;
    chosen = row;
    draw();
  }

  function say(words) {
    document.getElementById('drawn').textContent = words;
    draw();
  }

  const label = (row) => `${nameOf(row)}  ${measures(row)} ${unit()}`;

  // Lids lie in rows below the wall, in the order of the list, none under another's name.
  function layLids(width, top, gap, px) {
    lids = new Map();
    let [x, y, most] = [gap, top, 0];
    for (const row of rows().filter(lies)) {
      const [w, h] = row.dataset.kind === 'lid' ? [get(row, 'width'), get(row, 'length')] : [get(row, 'diameter'), get(row, 'diameter')];
      const wide = Math.max(w, (LETTER * label(row).length) / px);
      if (x > gap && x + wide > width) [x, y, most] = [gap, y + most + 2 * gap, 0];
      lids.set(row, [x, y, w, h]);
      [x, most] = [x + wide + gap, Math.max(most, h)];
    }
    low = Math.max(y + most + gap, top + 45 / cm());
  }

  // Left, top, width and height in the drawing, which goes down from the wall's upper edge.
  function boxOf(row, high) {
    if (lies(row)) return lids.get(row);
    const [wide, tall] = row.dataset.kind === 'line' ? [get(row, 'length'), 0] : [get(row, 'width'), get(row, 'height')];
    return [get(row, 'left'), high - get(row, 'above') - tall, wide, tall];
  }

  function draw() {
    const [width, high] = wall();
    const px = Math.min((svg.clientWidth || 320) / (1.08 * width), (0.75 * innerHeight) / (1.35 * high)); // of a cm or inch, about
    const gap = 14 / px;
    layLids(width, high + 2 * gap, gap, px);
    svg.setAttribute('viewBox', `${-gap} ${-gap} ${width + 2 * gap} ${low + gap}`);
    const text = (x, y, words, props = {}) => shape('text', {x, y, 'font-size': 13 / px, ...props}, words);
    const found = [shape('rect', {class: 'edge', x: 0, y: 0, width, height: high}), shape('line', {class: 'floor', x1: -gap, y1: high, x2: width + gap, y2: high})];
    if (rows().every(lies)) found.push(text(width / 2, high / 2, 'the wall: drag here', {class: 'hint'}));
    if (!lids.size) found.push(text(width / 2, high + 2 * gap + (low - high - 2 * gap) / 2, 'lids from above: drag here', {class: 'hint'}));
    const names = []; // above all shapes, which may hide one another
    for (const row of rows()) {
      row.querySelector('b').textContent = nameOf(row);
      row.setAttribute('aria-label', nameOf(row));
      row.classList.toggle('chosen', row === chosen);
      const [x, y, w, h] = boxOf(row, high);
      const kind = `${row.dataset.kind}${row === chosen ? ' chosen' : ''}`;
      found.push(h ? shape('rect', {class: kind, x, y, width: w, height: h, rx: {board: 0, lid: 3 / cm()}[row.dataset.kind] ?? w / 2}) : shape('line', {class: kind, x1: x, y1: y, x2: x + w, y2: y}));
      if (row === chosen) found.push(shape('circle', {class: 'corner', cx: x + w, cy: lies(row) ? y + h : y, r: 8 / px}));
      names.push(text(x, y - 5 / px, label(row)));
    }
    if (drag?.box && drag.moved) {
      const {kind, x, y, w, h} = drag.box;
      found.push(kind === 'line' ? shape('line', {class: 'chosen line', x1: x, y1: y, x2: x + w, y2: y}) : shape('rect', {class: `chosen ${kind}`, x, y, width: w, height: h}));
      found.push(text(x, y - 5 / px, kind === 'line' ? `${tidy(w)} ${unit()}` : `${tidy(w)} × ${tidy(h)} ${unit()}`));
    }
    svg.replaceChildren(...found, ...names);
  }

  const at = (e) => { const p = new DOMPoint(e.clientX, e.clientY).matrixTransform(svg.getScreenCTM().inverse()); return [p.x, p.y]; };
  const scale = () => 1 / svg.getScreenCTM().a; // of the drawing's unit, in px

  // What is under a finger: the corner of the one chosen, or any of them.
  function under([x, y]) {
    const [, high] = wall();
    const near = CORNER * scale();
    if (chosen) {
      const [left, top, w, h] = boxOf(chosen, high);
      if (Math.hypot(left + w - x, (lies(chosen) ? top + h : top) - y) < near) return {row: chosen, corner: true};
    }
    const row = rows().reverse().find((one) => {
      const [left, top, w, h] = boxOf(one, high);
      const more = h ? 0 : near;
      return x >= left - more && x <= left + w + more && y >= top - more && y <= top + h + more;
    });
    return row ? {row} : {};
  }

  // The new one between two points: a lid below the wall, else a line where it is flat, or a board.
  function between([x1, y1], [x2, y2]) {
    const [width, high] = wall();
    const kind = y1 > high ? 'lid' : Math.abs(y2 - y1) < CORNER * scale() ? 'line' : 'board';
    const within = (v, least, most) => Math.min(Math.max(v, least), most);
    const [a, b] = [x1, x2].map((x) => within(x, 0, width)).sort((p, q) => p - q);
    const [c, d] = [y1, y2].map((y) => (kind === 'lid' ? Math.max(y, high) : within(y, 0, high))).sort((p, q) => p - q);
    return {kind, x: a, y: kind === 'line' ? y1 : c, w: b - a, h: kind === 'line' ? 0 : d - c};
  }

  function moveTo(now) {
    const {row, corner, was, from} = drag;
    const [dx, dy] = [now[0] - from[0], now[1] - from[1]];
    if (!row) drag.box = between(from, now);
    else if (!corner && !lies(row)) set(row, {left: was.left + dx, above: was.above - dy});
    else if (corner && row.dataset.kind === 'line') set(row, {length: was.length + dx});
    else if (corner && row.dataset.kind === 'board') set(row, {width: was.width + dx, height: was.height - dy});
    else if (corner && row.dataset.kind === 'lid') set(row, {width: was.width + dx, length: was.length + dy});
    else if (corner) set(row, {diameter: was.diameter + Math.max(dx, dy)});
  }

  svg.addEventListener('pointerdown', (e) => {
    if (drag || !e.isPrimary) return;
    svg.setPointerCapture(e.pointerId);
    const {row, corner} = under(at(e));
    const was = row && Object.fromEntries(Object.keys(FIELDS[row.dataset.kind]).map((key) => [key, get(row, key)]));
    drag = {row, corner, was, from: at(e), start: [e.clientX, e.clientY], moved: false};
    if (row) choose(row);
  });
  svg.addEventListener('pointermove', (e) => {
    if (!drag) return;
    drag.moved ||= Math.hypot(e.clientX - drag.start[0], e.clientY - drag.start[1]) > TAP;
    if (!drag.moved) return;
    moveTo(at(e));
    draw();
  });
  svg.addEventListener('pointerup', () => {
    const {row, box, moved} = drag || {};
    drag = null;
    if (!row && moved && box) {
      const [, high] = wall();
      add(box.kind, box.kind === 'line' ? {length: box.w, left: box.x, above: high - box.y}
        : box.kind === 'board' ? {width: box.w, height: box.h, left: box.x, above: high - box.y - box.h} : {width: box.w, length: box.h});
    } else if (row && moved) say(`${nameOf(row)}: ${measures(row)} ${unit()}.`);
    else draw();
  });
  svg.addEventListener('pointercancel', () => { drag = null; draw(); });

  for (const button of drawing.querySelectorAll('[data-add]')) {
    button.addEventListener('click', () => {
      const kind = button.dataset.add;
      const before = rows().filter((row) => row.dataset.kind === kind).length;
      const values = Object.fromEntries(Object.entries(USUAL[kind]).map(([key, value]) => [key, Math.max(value + before * (NEXT[kind][key] ?? 0), 0) / cm()]));
      add(kind, values).querySelector('[data-key]').select();
    });
  }
  drawing.addEventListener('input', draw);
  let before = cm();
  units.addEventListener('change', () => {
    for (const field of drawing.querySelectorAll('input[inputmode=decimal]')) if (field.value) field.value = String(tidy((number(field) * before) / cm()));
    before = cm();
    draw();
  });
  addEventListener('resize', draw);
  drawing.closest('details').addEventListener('toggle', draw);
  draw();
}
if (drawing) startWall();
