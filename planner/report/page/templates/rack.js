// The rack on a day: the state of each tag, the small picture, free spots, size, and finding a pupa.
const tags = D.pupae.map(() => []);
for (const node of document.querySelectorAll('g.p')) {
  const number = Number(node.dataset.p);
  tags[number].push({node, after: Number(node.dataset.after || 0), place: node.closest('article'), sign: node.querySelector('.sign'), word: node.querySelector('.w'), words: [...node.querySelectorAll('text')].slice(0, 2).map((t) => t.textContent).join(' '), shown: ''});
}
const places = [...document.querySelectorAll('article.place')];
const states = Object.keys(D.signs);
const signs = Object.fromEntries(states.map((s) => [s, $(`k-${s}`).getAttribute('d')]));
const inside = new Map(places.map((a) => [a, [...a.querySelectorAll('g.p')].map((g) => Number(g.dataset.p))]));

// Places that are in the window are drawn at once, the others a few at a time: the thumb is not made to wait.
let later = 0;
function showTags(all) {
  const near = (a) => { const box = a.getBoundingClientRect(); return box.height > 0 && box.bottom > -200 && box.top < innerHeight + 200; };
  const draw = (article) => {
    for (const number of inside.get(article)) {
      const p = D.pupae[number];
      const [state, word] = stateOf(p, view.day, markOf(p));
      for (const tag of tags[number]) if (tag.place === article) showTag(tag, p, state, word, elsewhere(p) ? Infinity : movesDone(p));
    }
  };
  const first = all || places.length < 12 ? places : places.filter(near);
  const rest = places.filter((a) => !first.includes(a));
  first.forEach(draw);
  clearTimeout(later);
  const some = () => {
    rest.splice(0, 3).forEach(draw);
    document.body.classList.toggle('drawing', rest.length > 0);
    if (rest.length) later = setTimeout(some, 8);
  };
  some();
}

function showRack() {
  const dots = Object.fromEntries(states.map((s) => [s, []]));
  const coming = [];
  const free = new Map(places.map((a) => [a.dataset.place, Number(a.dataset.free)]));
  D.pupae.forEach((p, number) => {
    const [state] = stateOf(p, view.day, markOf(p));
    const done = movesDone(p);
    const other = elsewhere(p);
    if (p.dot[done] && !other) dots[state].push(p.dot[done]);
    if (!other) coming.push(...p.dot.slice(done + 1).filter(Boolean));
    const place = other ? other.place : done ? p.to[done - 1].place : p.place;
    const opens = state === 'out' || state === 'gone';
    if (opens) free.set(place, free.get(place) + 1);
    if (done || other) free.set(p.place, free.get(p.place) + 1);
    if (other) free.set(other.place, free.get(other.place) - 1);
  });
  for (const article of places) {
    article.querySelector('.free').textContent = article.dataset.free && `${count(free.get(article.dataset.place), 'spot')} free`;
  }
  showDots(dots, coming);
  showTags();
  showElsewhere();
}

function showTag(tag, p, state, word, done) {
  const left = tag.after < done; // nobody hangs at such a tag any more, or at one still to be reached
  const coming = tag.after > done;
  const text = left ? 'left' : coming ? `step ${p.to[tag.after - 1].step}` : word;
  const key = `${state} ${text}`;
  if (tag.shown === key) return;
  tag.shown = key;
  const found = tag.node.classList.contains('found') ? ' found' : ''; // it may be sought before it is drawn
  tag.node.setAttribute('class', `p s-${state}${coming ? ' to' : left ? ' left' : ''}${found}`);
  tag.sign.setAttribute('d', signs[state]);
  tag.word.textContent = text;
  const where = tag.after ? p.to[tag.after - 1].at : p.at;
  const what = state === 'due' ? `due, chance ${word}` : D.signs[state];
  tag.node.setAttribute('aria-label', `${tag.words} ${text}; ${p.id}, ${where}${coming ? ', to be hung here' : left ? ', was moved away' : ''}: ${what}`);
}

// One path for each state: its own shape, so that even at this size colour is not all. In a small rack, where all is
// drawn larger, they are smaller.
const unit = Math.min(1.2, Math.max(0.35, $('whole').viewBox.baseVal.width / 220));
const round = (r) => (x, y) => `M${x - r * unit} ${y}a${r * unit} ${r * unit} 0 1 0 ${2 * r * unit} 0a${r * unit} ${r * unit} 0 1 0 ${-2 * r * unit} 0`;
const edged = (points) => (x, y) => `M${points.map(([dx, dy]) => `${x + dx * unit} ${y + dy * unit}`).join('L')}Z`;
const shapes = {
  may: round(1.8),
  coming: round(1.2),
  soft: edged([[-1.6, -1.6], [1.6, -1.6], [1.6, 1.6], [-1.6, 1.6]]),
  dark: edged([[0, -2.4], [2.4, 0], [0, 2.4], [-2.4, 0]]),
  due: edged([[0, -3], [3, 2], [-3, 2]]),
  late: edged([[0, 3], [3, -2], [-3, -2]]),
};
function showDots(dots, coming) {
  const path = (name, points, shape) => {
    const node = document.createElementNS('http://www.w3.org/2000/svg', 'path');
    node.setAttribute('class', `dots ${name}`);
    node.setAttribute('d', points.map(([x, y]) => shape(x, y)).join(''));
    return node;
  };
  $('points').replaceChildren(path('coming', coming, shapes.coming), ...states.map((s) => path(`s-${s}`, dots[s], shapes[s] || shapes.may)));
}

// Names in the small picture keep their size on the screen, however wide it is.
function fitNames() {
  const scale = $('whole').getScreenCTM()?.a;
  if (scale) $('whole').style.setProperty('--name', `${13 / scale}px`);
}

// Size. The middle of what is seen stays in the middle.
const SIZES = [0.6, 0.8, 1, 1.3, 1.7, 2.2, 3];
let size = 2;
const strips = [...document.querySelectorAll('svg.strip')].map((svg) => ({svg, box: svg.parentElement, width: svg.viewBox.baseVal.width, height: svg.viewBox.baseVal.height}));
function resize(step) {
  const old = SIZES[size];
  size = Math.max(0, Math.min(SIZES.length - 1, size + step));
  const now = SIZES[size];
  for (const {svg, box, width, height} of strips) {
    const middle = (box.scrollLeft + box.clientWidth / 2) / old;
    svg.setAttribute('width', width * now);
    svg.setAttribute('height', height * now);
    box.scrollLeft = middle * now - box.clientWidth / 2;
  }
  $('size').textContent = `${Math.round(now * 100)} %`;
  $('smaller').disabled = size === 0;
  $('larger').disabled = size === SIZES.length - 1;
}

function goTo(number) {
  const tag = tags[number].find((t) => t.after === movesDone(D.pupae[number])) || tags[number][0];
  if (!tag) return;
  part('rack');
  document.querySelector('.p.found')?.classList.remove('found');
  tag.node.classList.add('found');
  focusTag(tag.node);
  for (let i = 0; i < 2; i += 1) tag.node.scrollIntoView({block: 'center', inline: 'center'}); // heights that were guesses are known then
}

// Keys within a strip: one tag of it can be reached with Tab, the arrows go to the nearest one that way.
function focusTag(node) {
  for (const other of node.parentElement.querySelectorAll('g.p[tabindex="0"]')) other.setAttribute('tabindex', '-1');
  node.setAttribute('tabindex', '0');
  node.focus({preventScroll: true});
}
const point = (node) => node.transform.baseVal.consolidate().matrix;
const ARROWS = {ArrowLeft: [-1, 0], ArrowRight: [1, 0], ArrowUp: [0, -1], ArrowDown: [0, 1]};
function nextTag(node, [dx, dy]) {
  const from = point(node);
  let best = null;
  let least = Infinity;
  for (const other of node.parentElement.querySelectorAll('g.p')) {
    const x = point(other).e - from.e;
    const y = point(other).f - from.f;
    const along = x * dx + y * dy;
    const across = Math.abs(x * dy) + Math.abs(y * dx);
    if (other !== node && along > 0.5 && along + 2 * across < least) [best, least] = [other, along + 2 * across];
  }
  return best;
}

function startRack() {
  for (const {svg} of strips) {
    svg.querySelectorAll('g.p').forEach((node, i) => {
      node.setAttribute('role', 'button');
      node.setAttribute('tabindex', i ? '-1' : '0');
    });
    svg.addEventListener('click', (e) => {
      if (hanging) return tapStrip(svg, e);
      const node = e.target.closest('g.p');
      if (node) openCard(Number(node.dataset.p), node);
    });
    svg.addEventListener('keydown', (e) => {
      const node = e.target.closest('g.p');
      if (!node) return;
      if (e.key === 'Enter' || e.key === ' ') openCard(Number(node.dataset.p), node);
      else if (ARROWS[e.key]) {
        const next = nextTag(node, ARROWS[e.key]);
        if (next) {
          focusTag(next);
          next.scrollIntoView({block: 'nearest', inline: 'center'});
        }
      } else return;
      e.preventDefault();
    });
  }
  $('whole').addEventListener('click', (e) => {
    const at = new DOMPoint(e.clientX, e.clientY).matrixTransform($('whole').getScreenCTM().inverse());
    const near = [...$('whole').querySelectorAll('.place')].map((o) => [distance(o.getBBox(), at), o.dataset.place]);
    near.sort((a, b) => a[0] - b[0]);
    if (near.length) goToPlace(near[0][1], at);
  });
  $('smaller').addEventListener('click', () => resize(-1));
  $('larger').addEventListener('click', () => resize(1));
  $('ids').replaceChildren(...D.pupae.map((p) => Object.assign(document.createElement('option'), {value: p.id})));
  $('find').addEventListener('change', () => {
    const wanted = $('find').value.trim().toLowerCase();
    const number = D.pupae.findIndex((p) => p.id.toLowerCase() === wanted);
    if (number >= 0) goTo(number);
  });
}

function distance(box, at) {
  const x = Math.max(box.x - at.x, 0, at.x - box.x - box.width);
  const y = Math.max(box.y - at.y, 0, at.y - box.y - box.height);
  return Math.hypot(x, y);
}

function goToPlace(name, at) {
  const article = places.find((a) => a.dataset.place === name);
  const outline = [...$('whole').querySelectorAll('.place')].find((o) => o.dataset.place === name).getBBox();
  for (let i = 0; i < 2; i += 1) article.scrollIntoView({block: 'start'});
  const box = article.querySelector('.scroll');
  const share = outline.width ? (at.x - outline.x) / outline.width : 0;
  box.scrollLeft = share * box.scrollWidth - box.clientWidth / 2;
  box.focus({preventScroll: true});
}
