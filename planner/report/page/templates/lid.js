// Newcomers: a lid drawn to scale, or on a photo that never leaves this phone; each tap on it is one pupa.
const PHOTO_WIDTH = 2000; // px: enough for a millimetre, and little enough for any phone
const FINGER = 22; // px
const lidView = {lid: null, photo: null, corners: [], turned: 0, mirrored: false, scale: 1, x: 0, y: 0, day: 0, chosen: '', base: null};

const canvas = () => $('lid-canvas');
const wide = () => (lidView.photo ? lidView.photo.width : lidView.lid.width * 20);
const high = () => (lidView.photo ? lidView.photo.height : lidView.lid.length * 20);
const toScreen = ([x, y]) => [lidView.x + x * lidView.scale, lidView.y + y * lidView.scale];
const toPicture = ([x, y]) => [(x - lidView.x) / lidView.scale, (y - lidView.y) / lidView.scale];

// The map from the lid (0 to 1 each way) to the picture; null until its corners are known.
function lens() {
  if (!lidView.photo) return squareTo([[0, high()], [wide(), high()], [wide(), 0], [0, 0]]);
  const {round: rim} = lidView.lid;
  const found = lidView.corners.length === 4 && inOrder(lidView.corners, rim);
  if (!found) return null;
  const [a, b, c, d] = [0, 1, 2, 3].map((k) => found[(k + lidView.turned) % 4]);
  return squareTo(!lidView.mirrored ? [a, b, c, d] : rim ? [a, d, c, b] : [b, a, d, c]);
}
// On the photo of a round one the four ends of its rim are the square: it stands on its tip in the lid's.
const onTip = () => lidView.photo && lidView.lid.round;
function onLid(m, at) {
  let [u, v] = mapped(inverse(m), at);
  if (onTip()) [u, v] = [(u - v + 1) / 2, (u + v) / 2];
  return [u * lidView.lid.width, v * lidView.lid.length];
}
function inPicture(m, [x, y]) {
  const [u, v] = [x / lidView.lid.width, y / lidView.lid.length];
  return mapped(m, onTip() ? [u + v - 0.5, v - u + 0.5] : [u, v]);
}
function isOn([x, y]) {
  const {width, length, round: rim} = lidView.lid;
  return rim ? Math.hypot(x - width / 2, y - width / 2) <= width / 2 : x >= 0 && y >= 0 && x <= width && y <= length;
}

// In the keeper's unit, as short as a tap is exact.
const written = (cm) => String(Number((cm / D.cm).toFixed(D.cm > 1 ? 2 : 1)));
const newOnLid = () => holding().filter((e) => e.kind === 'recorded' && e.lid === lidView.lid.name);
const knownOnLid = () => D.pupae.filter((p) => p.place === lidView.lid.name && p.xy && !lastOf(p, 'moved') && isHere(p));
const pointOf = (e) => (e.x ? [Number(e.x) * D.cm, Number(e.y) * D.cm] : null);

// The strip of the last days, and J for one that still hangs in a J.
const dayValue = (k) => (k < 0 ? '' : isoDay((today() - k) * DAY));
function showDays() {
  const chosen = newOnLid().find((e) => e.id === lidView.chosen);
  const now = chosen ? chosen.pupated || '' : dayValue(lidView.day);
  $('lid-days').replaceChildren(...[0, 1, 2, 3, 4, 5, 6, -1].map((k) => el('button', {
    type: 'button', 'aria-pressed': String(dayValue(k) === now), onclick: () => chooseDay(k),
  }, k < 0 ? 'J' : k === 0 ? 'Today' : dayText(today() - k))));
}

function chooseDay(k) {
  lidView.day = k;
  const chosen = newOnLid().find((e) => e.id === lidView.chosen);
  if (chosen) lidView.chosen = replaced(chosen, {pupated: dayValue(k)}).id;
  showLid();
}

// An event changed: the same again with other words, for what has left the phone cannot be changed.
function replaced(e, changes) {
  const {id, at, shared, ...rest} = {...e, ...changes};
  const clean = Object.fromEntries(Object.entries(rest).filter(([, v]) => v !== ''));
  return write([clean], [e]).pop();
}

// One more, at a point of the lid or at none that was measured.
function addAt(point) {
  const known = point && knownOnLid().find((p) => Math.hypot(p.xy[0] - point[0], p.xy[1] - point[1]) < 1);
  if (known) return lidSays(`${known.id} is on record there.`);
  const day = dayValue(lidView.day);
  const where = point ? {x: written(point[0]), y: written(point[1])} : {};
  write([{kind: 'recorded', lid: lidView.lid.name, ...where, ...(day ? {pupated: day} : {})}]);
  lidView.chosen = '';
  return lidSays('');
}

// With keys instead of a finger: a point as it is typed, or none where it was not measured.
function addTyped() {
  const text = $('lid-point').value.trim();
  const point = text.split(/[,;]\s*|\s+/).map((n) => Number(n) * D.cm);
  const {width, length} = lidView.lid;
  if (text && !(point.length === 2 && isOn(point))) {
    return lidSays(`'${text}' is no point of this lid: write x,y, up to ${written(width)},${written(length)} ${D.units}.`);
  }
  $('lid-point').value = '';
  return text ? addAt(point) : addAt(null);
}

function lidSays(words) {
  const m = lens();
  const number = newOnLid().length;
  const ends = lidView.lid.round ? "the lid's rim, near, right, far and left" : "the lid's corners";
  const how = lidView.photo && !m ? (lidView.corners.length < 4 ? `Tap ${ends}: ${4 - lidView.corners.length} more.${lidView.lid.round ? ' The photo is best from straight above.' : ''}` : `These are no four ${lidView.lid.round ? 'ends' : 'corners'} of a lid: drag them, or Undo.`)
    : `${count(number, 'newcomer')} on this lid. Choose the day, then tap each chrysalis.`;
  $('lid-words').textContent = words || how;
  showLid();
}

function undoTap() {
  const last = newOnLid().pop();
  if (lidView.photo && !lens()) lidView.corners.pop();
  else if (last) write([], [last]);
  else if (lidView.photo) lidView.corners.pop();
  lidSays('');
}

async function choosePhoto(file) {
  if (!file) return;
  try {
    lidView.photo = await createImageBitmap(file, {resizeWidth: PHOTO_WIDTH, resizeQuality: 'high'});
  } catch {
    lidSays('This is no picture that the browser can show.');
    return;
  }
  Object.assign(lidView, {corners: [], turned: 0, mirrored: false, chosen: ''});
  fitLid();
  lidSays('');
}

function fitLid() {
  const box = canvas().getBoundingClientRect();
  const margin = 24;
  lidView.scale = Math.min((box.width - 2 * margin) / wide(), (box.height - 2 * margin) / high());
  lidView.x = (box.width - wide() * lidView.scale) / 2;
  lidView.y = (box.height - high() * lidView.scale) / 2;
}

function zoomLid(factor, at) {
  const box = canvas().getBoundingClientRect();
  const [x, y] = at || [box.width / 2, box.height / 2];
  const scale = Math.min(20, Math.max(0.05, lidView.scale * factor));
  lidView.x = x - ((x - lidView.x) * scale) / lidView.scale;
  lidView.y = y - ((y - lidView.y) * scale) / lidView.scale;
  lidView.scale = scale;
  showLid();
}

function showLid() {
  if (!$('lid').open) return;
  const box = canvas().getBoundingClientRect();
  const ratio = devicePixelRatio || 1;
  canvas().width = Math.round(box.width * ratio);
  canvas().height = Math.round(box.height * ratio);
  const c = canvas().getContext('2d');
  const colour = (name) => getComputedStyle(document.documentElement).getPropertyValue(`--${name}`);
  c.setTransform(ratio, 0, 0, ratio, 0, 0);
  if (lidView.photo) c.drawImage(lidView.photo, lidView.x, lidView.y, wide() * lidView.scale, high() * lidView.scale);
  const m = lens();
  if (m) drawGrid(c, m, colour);
  else for (const at of lidView.corners) drawDot(c, toScreen(at), colour('alarm'), '');
  if (m && lidView.photo) for (const at of lidView.corners) drawDot(c, toScreen(at), colour('quiet'), '');
  if (m) {
    for (const p of knownOnLid()) drawDot(c, toScreen(inPicture(m, p.xy)), colour('quiet'), p.id);
    for (const e of newOnLid()) if (e.x) drawDot(c, toScreen(inPicture(m, pointOf(e))), colour('accent'), e.pupated ? dayMonth(dayOf(e.pupated) * DAY) : 'J', e.id === lidView.chosen);
  }
  canvas().setAttribute('aria-label', `Lid ${lidView.lid.name}: ${count(knownOnLid().length, 'pupa', 'pupae')} on record, ${count(newOnLid().length, 'newcomer')}`);
  for (const id of ['lid-turn', 'lid-mirror']) $(id).hidden = !(m && lidView.photo);
  showDays();
  $('lid-list').replaceChildren(...newOnLid().reverse().map((e) => el('li', {class: 'row'}, el('span', {class: 'way'}, eventWords(e)[1]),
    el('button', {type: 'button', 'aria-label': `take back: ${eventWords(e)[1]}`, onclick: () => { write([], [e]); lidSays(''); }}, '×'))));
}

// Its edges, a line each 5 cm or 2 in, and which edge is near: so one sees whether corners and turn are right.
function drawGrid(c, m, colour) {
  const {width, length} = lidView.lid;
  const step = D.cm > 1 ? 2 * D.cm : 5;
  const line = (from, to, strong) => {
    c.beginPath();
    c.strokeStyle = colour(lidView.photo ? 'accent' : strong ? 'ink' : 'edge');
    c.lineWidth = strong ? 2 : 0.7;
    c.moveTo(...toScreen(inPicture(m, from)));
    c.lineTo(...toScreen(inPicture(m, to)));
    c.stroke();
  };
  const half = (at) => (lidView.lid.round ? Math.sqrt(Math.max(0, at * (width - at))) : width); // of a chord
  const cut = (at, most) => (lidView.lid.round ? [width / 2 - half(at), width / 2 + half(at)] : [0, most]);
  for (let x = step; x < width; x += step) line([x, cut(x, length)[0]], [x, cut(x, length)[1]]);
  for (let y = step; y < length; y += step) line([cut(y, width)[0], y], [cut(y, width)[1], y]);
  const rim = (k) => [width / 2 + (width / 2) * Math.sin((k * Math.PI) / 36), width / 2 - (width / 2) * Math.cos((k * Math.PI) / 36)];
  const edge = lidView.lid.round ? Array.from({length: 72}, (_, k) => rim(k)) : [[0, 0], [width, 0], [width, length], [0, length]];
  edge.forEach((corner, k) => line(corner, edge[(k + 1) % edge.length], true));
  drawText(c, toScreen(inPicture(m, [width / 2, 0])), `near ${lidView.lid.round ? 'end' : 'edge'}, ${written(width)} ${D.units}`, colour, 14);
}

function drawText(c, [x, y], words, colour, below) {
  c.font = '600 13px system-ui,sans-serif';
  c.textAlign = 'center';
  c.lineWidth = 4;
  c.strokeStyle = colour('ground');
  c.strokeText(words, x, y + below);
  c.fillStyle = colour('ink');
  c.fillText(words, x, y + below);
}

function drawDot(c, [x, y], fill, words, chosen) {
  c.beginPath();
  c.arc(x, y, chosen ? 10 : 7, 0, 2 * Math.PI);
  c.fillStyle = fill;
  c.fill();
  c.lineWidth = 2;
  c.strokeStyle = '#fff';
  c.stroke();
  if (words) drawText(c, [x, y], words, (name) => getComputedStyle(document.documentElement).getPropertyValue(`--${name}`), -12);
}

// What is under a finger: a corner, or somebody tapped before.
function under(at) {
  const m = lens();
  const near = (p) => Math.hypot(p[0] - at[0], p[1] - at[1]) < FINGER;
  const e = m && newOnLid().filter((one) => one.x).find((one) => near(toScreen(inPicture(m, pointOf(one)))));
  if (e) return {event: e};
  const k = lidView.photo ? lidView.corners.findIndex((corner) => near(toScreen(corner))) : -1;
  return k >= 0 ? {corner: k} : null;
}

function startLid() {
  const fingers = new Map();
  let held = null, moved = false;
  const at = (e) => { const box = canvas().getBoundingClientRect(); return [e.clientX - box.left, e.clientY - box.top]; };
  canvas().addEventListener('pointerdown', (e) => {
    canvas().setPointerCapture(e.pointerId);
    fingers.set(e.pointerId, at(e));
    if (fingers.size === 1) [held, moved] = [under(at(e)), false];
    else [held, moved] = [null, true];
  });
  canvas().addEventListener('pointermove', (e) => {
    const before = fingers.get(e.pointerId);
    if (!before) return;
    const now = at(e);
    if (fingers.size === 1 && !moved && Math.hypot(now[0] - before[0], now[1] - before[1]) < 6) return;
    const others = [...fingers].filter(([id]) => id !== e.pointerId).map(([, p]) => p);
    fingers.set(e.pointerId, now);
    moved = true;
    if (others.length) {
      const [other] = others;
      const far = (p) => Math.hypot(p[0] - other[0], p[1] - other[1]) || 1;
      zoomLid(far(now) / far(before), [(now[0] + other[0]) / 2, (now[1] + other[1]) / 2]);
    } else if (held?.corner !== undefined) lidView.corners[held.corner] = toPicture(now);
    else if (held?.event) held.to = now;
    else [lidView.x, lidView.y] = [lidView.x + now[0] - before[0], lidView.y + now[1] - before[1]];
    showLid();
    if (held?.to) drawDot(canvas().getContext('2d'), held.to, '#888', '');
  });
  const up = (e) => {
    if (!fingers.delete(e.pointerId) || fingers.size) return;
    const m = lens();
    const point = m && onLid(m, toPicture(at(e)));
    const within = point && isOn(point);
    if (e.type === 'pointercancel') return showLid();
    if (held?.to && within) lidView.chosen = replaced(held.event, {x: written(point[0]), y: written(point[1])}).id;
    else if (!moved && held?.event) lidView.chosen = held.event.id === lidView.chosen ? '' : held.event.id;
    else if (!moved && lidView.photo && lidView.corners.length < 4) lidView.corners.push(toPicture(at(e)));
    else if (!moved && within) return addAt(point);
    lidSays('');
  };
  canvas().addEventListener('pointerup', up);
  canvas().addEventListener('pointercancel', up);
  canvas().addEventListener('wheel', (e) => { e.preventDefault(); zoomLid(Math.exp(-e.deltaY / 400), at(e)); }, {passive: false});
  $('lid-photo').addEventListener('change', (e) => { choosePhoto(e.target.files[0]); e.target.value = ''; });
  $('lid-undo').addEventListener('click', undoTap);
  $('lid-in').addEventListener('click', () => zoomLid(1.4));
  $('lid-out').addEventListener('click', () => zoomLid(1 / 1.4));
  $('lid-turn').addEventListener('click', () => { lidView.turned += 1; lidSays(''); });
  $('lid-mirror').addEventListener('click', () => { lidView.mirrored = !lidView.mirrored; lidSays(''); });
  $('lid-typed').addEventListener('submit', (e) => { e.preventDefault(); addTyped(); });
  $('lid-close').addEventListener('click', () => $('lid').close());
  $('lid').addEventListener('close', () => { lidView.photo = null; showAll(); });
  addEventListener('resize', () => { if ($('lid').open) { fitLid(); showLid(); } });
}

function openLid(k) {
  Object.assign(lidView, {lid: D.lids[k], photo: null, corners: [], chosen: '', day: 0});
  $('lid-title').replaceChildren('Newcomers on ', bdi(lidView.lid.name));
  $('lid').showModal();
  lidSays(''); // words and buttons first: what they leave is the lid's
  fitLid();
  showLid();
}
