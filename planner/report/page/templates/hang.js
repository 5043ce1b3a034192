// "Hung elsewhere": a tap on the rack says where, and who is its neighbour there is told at once.
let hanging = null; // the pupa whose new spot is being looked for

function choosePlace(p) {
  hanging = p;
  $('card').close();
  $('choose').hidden = false;
  $('choose-words').replaceChildren('Tap the free spot where ', bdi(p.id), ' hangs now.');
  $('choose-yes').hidden = true;
  document.body.classList.add('choosing');
  part('rack');
}

function endChoosing() {
  hanging = null;
  $('choose').hidden = true;
  document.querySelector('.strip .chosen')?.remove();
  document.body.classList.remove('choosing');
}

const inStrip = (one, x, y) => {
  const [left, top, right, low] = one.frame;
  return [left + (x / one.extent[0]) * (right - left), one.extent[1] ? low - (y / one.extent[1]) * (low - top) : top];
};
const inRoom = (one, x, y) => [0, 1, 2].map((i) => one.at[i] + x * one.across[i] + y * one.up[i]);

// Where somebody hangs now, in its place's own frame; null where that was never measured.
function pointNow(p) {
  const e = lastOf(p, 'moved');
  if (!e) return p.xy ? {place: p.place, x: p.xy[0], y: p.xy[1]} : null;
  const one = placeOf(e.place);
  const spot = one?.spots.find(([tag]) => tag === e.spot);
  if (spot) return {place: e.place, x: spot[1], y: spot[2]};
  const [x, y] = e.spot.split(',').map((n) => Number(n) * D.cm);
  return Number.isFinite(x) ? {place: e.place, x, y: y || 0} : null;
}

// The free spot nearest to a tap in a strip; on a line whose clips slide, the place of the tap itself.
function spotAt(one, px, py) {
  if (one.slides) {
    const x = ((px - one.frame[0]) / (one.frame[2] - one.frame[0])) * one.extent[0];
    const steps = Math.round(x / one.slides) * one.slides;
    return steps > 0 && steps < one.extent[0] && Math.abs(py - one.frame[1]) < 40 ? [String(Number((steps / D.cm).toFixed(3))), steps, 0] : null;
  }
  const far = ([, x, y]) => Math.hypot(inStrip(one, x, y)[0] - px, inStrip(one, x, y)[1] - py);
  const near = one.spots.filter((s) => !occupant(one, s)).sort((a, b) => far(a) - far(b))[0];
  return near && far(near) < 30 ? near : null;
}

const isHere = (p) => { const m = markOf(p); return !m || ['darkening', 'pupated'].includes(m.what); };
function occupant(one, [, x, y]) {
  const room = one.slides ? one.clip - 1e-3 : 0.01;
  return D.pupae.find((p) => {
    if (p === hanging || !isHere(p)) return false;
    const at = pointNow(p);
    return at && at.place === one.name && Math.hypot(at.x - x, at.y - y) < room;
  });
}

// Whoever is within wing reach there, or under it, and due too soon before or after: the same rule as the season's.
function clashesAt(p, one, [tag, x, y]) {
  const here = inRoom(one, x, y);
  return D.pupae.filter((q) => {
    const at = q !== p && isHere(q) && pointNow(q);
    const other = at && placeOf(at.place);
    if (!other || other.room !== one.room || hasCard(one, tag, q)) return false;
    const there = inRoom(other, at.x, at.y);
    const sideways = Math.hypot(here[0] - there[0], here[1] - there[1]);
    const down = Math.abs(here[2] - there[2]);
    const near = sideways < D.reach - 1e-6 && (down <= D.drop + 1e-6 || Math.hypot(sideways, down) < D.reach - 1e-6);
    return near && (p.due === null || q.due === null || Math.abs(p.due - q.due) < D.gap * DAY - 0.5);
  });
}
const hasCard = (one, tag, q) => D.cards.some((ends) => {
  const there = lastOf(q, 'moved') || {place: q.place, spot: q.spot};
  const is = (end, place, spot) => end[0] === place && end[1] === spot;
  return (is(ends[0], one.name, tag) && is(ends[1], there.place, there.spot)) || (is(ends[1], one.name, tag) && is(ends[0], there.place, there.spot));
});

function tapStrip(svg, e) {
  const one = placeOf(svg.closest('article').dataset.place);
  const at = new DOMPoint(e.clientX, e.clientY).matrixTransform(svg.getScreenCTM().inverse());
  const spot = one && one.kind !== 'lid' && spotAt(one, at.x, at.y);
  document.querySelector('.strip .chosen')?.remove();
  $('choose-yes').hidden = !spot;
  if (!spot) {
    $('choose-words').replaceChildren('No free spot is there: tap a ring', one?.kind === 'lid' ? ' on a line or board' : '', '.');
    return;
  }
  const ring = document.createElementNS('http://www.w3.org/2000/svg', 'circle');
  const [x, y] = inStrip(one, spot[1], spot[2]);
  for (const [key, value] of Object.entries({class: 'chosen', cx: x, cy: y, r: 10})) ring.setAttribute(key, value);
  svg.append(ring);
  const taker = one.slides && occupant(one, spot);
  const bad = clashesAt(hanging, one, spot);
  const due = (q) => (q.due === null || hanging.due === null ? ', no date is known of one' : apart(Math.floor((Math.abs(q.due - hanging.due) / DAY) * 100 + 1e-5) / 100));
  $('choose-words').replaceChildren(bdi(hanging.id), ' to ', spotText(spotWords({place: one.name, spot: spot[0]})), taker ? ': taken by ' : '', taker ? bdi(taker.id) : '',
    ...(bad.length ? [el('strong', {class: 'alarm'}, '. Clash: ', bad.slice(0, 3).flatMap((q, i) => [i ? ', ' : '', bdi(q.id), due(q)]), bad.length > 3 ? ` and ${bad.length - 3} more` : '')] : [taker ? '' : ': no clash there']));
  $('choose-yes').hidden = Boolean(taker);
  $('choose-yes').onclick = () => {
    const p = hanging;
    endChoosing();
    hang(p, one.name, spot[0]);
  };
}

// A tag of its own for whoever hangs elsewhere, where that is.
function showElsewhere() {
  for (const node of document.querySelectorAll('.strip .moved-here')) node.remove();
  D.pupae.forEach((p, number) => {
    const at = elsewhere(p) && pointNow(p);
    const one = at && placeOf(at.place);
    const svg = one && places.find((a) => a.dataset.place === one.name)?.querySelector('svg.strip');
    if (!svg || !tags[number][0]) return;
    const node = tags[number][0].node.cloneNode(true);
    node.setAttribute('transform', `translate(${inStrip(one, at.x, at.y).join(' ')})`);
    node.setAttribute('class', `p moved-here s-${stateOf(p, view.day, markOf(p))[0]}`);
    node.querySelector('.w').textContent = 'here';
    node.setAttribute('aria-label', `${p.id}, ${spotWords(elsewhere(p))}, hung there by you`);
    svg.append(node);
  });
}

function startHang() {
  $('choose-no').addEventListener('click', endChoosing);
}
