// The day in words: numbers, due, overdue, what may be moved, and what must not be touched.
const MOST = 40; // rows shown at once
const opened = new Set(); // lists of which all rows were asked for
const unfolded = new Map(); // reasons that were opened or closed

// An element with properties and children; texts become text nodes, never markup.
function el(name, props, ...children) {
  const node = document.createElement(name);
  for (const [key, value] of Object.entries(props || {})) {
    if (key === 'class') node.className = value;
    else if (key.startsWith('on')) node.addEventListener(key.slice(2), value);
    else if (value !== false && value !== undefined) node.setAttribute(key, value === true ? '' : value);
  }
  node.append(...children.flat().filter((c) => c !== '' && c !== null && c !== undefined));
  return node;
}
const bdi = (text) => el('bdi', null, text);
const spotText = (text) => el('bdi', {dir: 'ltr'}, text); // a place, kept apart where it runs from right to left, and a spot on it

function idButton(number) {
  return el('button', {type: 'button', class: 'id', onclick: (e) => openCard(number, e.currentTarget)}, bdi(D.pupae[number].id));
}

function box(p, label, checked, change) {
  const input = el('input', {type: 'checkbox', 'data-key': `${label} ${p.id}`, onchange: (e) => change(e.target.checked)});
  input.checked = checked;
  return el('label', {class: 'tick'}, input, el('span', {class: 'words'}, label, el('span', {class: 'hide'}, ` ${p.id}`)));
}

function dueRow(number) {
  const p = D.pupae[number];
  const mark = markOf(p)?.what;
  const odds = (day) => `${dayText(day)} ${percent(chance(p, day))}`.replaceAll(' ', '\u00a0');
  const next = view.day + 1 < D.days ? ` · ${odds(view.day + 1)}` : '';
  const words = stateOf(p, view.day)[0] === 'late' ? `19 in 20 by ${dayMonth(p.by)}` : `${odds(view.day)}${next}`;
  const ticking = view.day === today();
  return el('li', {class: `row${mark && mark !== 'darkening' ? ' done' : ''}`}, idButton(number),
    el('span', {class: 'way'}, spotText(placeNow(p))), el('span', {class: 'when num'}, words),
    ticking ? el('span', {class: 'ticks'},
      box(p, 'dark', mark === 'darkening' || p.sight !== undefined, (yes) => setMark(p, yes ? 'darkening' : '')),
      box(p, 'out', mark === 'emerged', (yes) => setMark(p, yes ? 'emerged' : ''))) : '');
}

// What is closed, to be ticked once it is cleaned: on no day but this one.
function showClosed() {
  const closed = view.day === today() ? closedPlaces() : [];
  document.querySelector('[data-go=closed]').hidden = !closed.length;
  $('closed').hidden = !closed.length;
  const row = (those) => el('li', {class: 'row'}, el('span', {class: 'way'}, spotText(those[0].at)),
    el('span', {class: 'when'}, those.flatMap((one, i) => [i ? ', ' : '', bdi(one.id)]), those.length > 1 ? ' were sick there' : ' was sick there'),
    el('span', {class: 'ticks'}, box({id: those[0].at}, 'cleaned', those.every((one) => eventsOf(one, 'cleaned').length), (yes) => setCleaned(those, yes))));
  $('closed').replaceChildren(el('h3', null, 'Closed until cleaned'), el('ol', {class: 'rows due'}, closed.map(row)));
}

function limited(name, rows, make) {
  const some = opened.has(name) ? rows : rows.slice(0, MOST);
  const more = rows.length - some.length;
  return [el('ol', {class: 'rows due'}, some.map(make)),
    more ? el('button', {type: 'button', class: 'more', onclick: () => { opened.add(name); showDay(); }}, `Show ${more} more`) : ''];
}

function tile(value, words) {
  return el('div', {class: 'tile'}, el('b', null, value), el('span', null, words));
}

function showDay() {
  const day = view.day;
  const all = D.pupae.map((p, number) => number);
  const there = all.filter((n) => { const m = markOf(D.pupae[n]); return !m || ['darkening', 'pupated'].includes(m.what); });
  const by = Object.fromEntries(states.map((s) => [s, []]));
  for (const n of there) by[stateOf(D.pupae[n], day, markOf(D.pupae[n]))[0]].push(n);
  const likely = (n) => -Math.round(chance(D.pupae[n], day) * 100) / 100;
  // Without regard to ticks, so that whoever is ticked stays in its row and can be unticked.
  const plain = D.pupae.map((p) => stateOf(p, day)[0]);
  const soon = (n) => chance(D.pupae[n], day + 1) >= D.least && plain[n] !== 'late' && plain[n] !== 'out';
  const due = all.filter((n) => plain[n] === 'due' || soon(n));
  const late = all.filter((n) => plain[n] === 'late');
  due.sort((a, b) => (plain[b] === 'due') - (plain[a] === 'due') || likely(a) - likely(b) || a - b);
  const may = there.filter((n) => !whyNot(D.pupae[n], day, markOf(D.pupae[n])) && !by.out.includes(n));
  const no = there.filter((n) => whyNot(D.pupae[n], day, markOf(D.pupae[n])) && !by.late.includes(n) && !by.out.includes(n));
  const emerging = there.reduce((sum, n) => sum + chance(D.pupae[n], day), 0);
  const long = `${dayText(day)}${D.month_first ? ',' : ''} ${date(day * DAY).getUTCFullYear()}`;
  $('day-title').textContent = day === today() ? `Today, ${long}` : long;
  for (const span of document.querySelectorAll('.on-day')) span.textContent = `on ${dayText(day)}`;
  $('tiles').replaceChildren(
    tile(emerging < 0.05 ? 'none' : emerging < 0.75 ? 'perhaps 1' : `about ${Math.round(emerging)}`, 'expected to emerge'),
    tile(`${Math.floor(D.free[day])} of ${D.spots[day]}`, `spots free${D.freeLeast[day] < Math.floor(D.free[day]) ? `, ${D.freeLeast[day]} with 9 in 10` : ''}`),
    tile(String(may.length), 'may be moved'),
    tile(String(no.length), 'do not touch'));
  const held = document.activeElement.dataset.key; // the box that was ticked keeps the focus
  $('lists').replaceChildren(...[
    el('h3', null, 'Due'),
    due.length ? limited('due', due, dueRow) : el('p', null, there.length ? 'None expected.' : 'No pupa is here.'),
    clashes(there),
    late.length ? [el('h3', null, `Overdue: ${late.length}`),
      el('p', {class: 'alarm'}, 'Look without touching. Black without a wing pattern, sunken, leaking, a hole or a smell: set it apart, wash your hands, record it.'),
      limited('late', late, dueRow)] : [],
    el('h3', null, 'May be moved'), mayWords(may, day),
    el('h3', null, 'Do not touch'), no.length ? reasons(no, day) : el('p', null, 'Nobody.'),
    by.out.length ? [el('h3', null, 'Out by then, most likely'), el('p', null, names(by.out))] : [],
  ].flat(Infinity));
  showClosed();
  if (held) [...$('day').querySelectorAll('[data-key]')].find((e) => e.dataset.key === held)?.focus();
  showMoves(day);
}

const apart = (days) => (days === null ? ', no date is known of one' : days ? `, due ${count(days, 'day')} apart` : ', due at the same time');

// Pairs that the plan leaves too near, as long as both are there.
function clashes(there) {
  const pairs = D.clashes.filter(([a, b]) => there.includes(a) && there.includes(b));
  if (!pairs.length) return [];
  const first = pairs.slice(0, MOST);
  return [el('h3', null, `Clashes to watch: ${pairs.length}`), el('ul', null, first.map(([a, b, days]) => el('li', null, bdi(D.pupae[a].id), ' and ', bdi(D.pupae[b].id), apart(days)))),
    pairs.length > MOST ? el('p', null, `and ${pairs.length - MOST} more, on the cards`) : ''];
}

// Who may be moved: as the plan asks for it, else whoever hangs on a lid and is free to go.
function mayWords(may, day) {
  const asked = may.filter((n) => movesDone(D.pupae[n]) < D.pupae[n].to.length);
  const of = `${count(may.length, 'is', 'are')} firm and not darkening. `;
  if (!D.planned) return el('p', null, of, names(may));
  if (!asked.length) return el('p', null, of, 'The plan asks for no move on this day.');
  return el('p', null, of, `The plan asks for ${count(asked.length, 'move')}: `, names(asked), '. ',
    el('button', {type: 'button', class: 'more', onclick: () => part('moves', true)}, 'Go to the moves'));
}

function names(numbers) {
  const first = numbers.slice(0, 60).map((n) => D.pupae[n].id);
  const more = numbers.length - first.length;
  return el('span', null, first.flatMap((id, i) => [i ? ', ' : '', bdi(id)]), more > 0 ? ` and ${more} more` : '');
}

function reasons(numbers, day) {
  const groups = new Map();
  for (const n of numbers) {
    const why = whyNot(D.pupae[n], day, markOf(D.pupae[n])).replace(/( since .*)?: (do not (touch|move)|not to be touched)$/, ''); // said above all
    groups.set(why, [...(groups.get(why) || []), n]);
  }
  return [...groups].map(([why, who]) => el('details', {class: 'why', open: unfolded.get(why) ?? who.length <= 12, ontoggle: (e) => unfolded.set(why, e.target.open)}, el('summary', null, `${why} (${who.length})`), names(who)));
}

// Each step of the move list: whether it can be done on this day.
const steps = [...document.querySelectorAll('[data-move]')].map((row) => ({row, number: Number(row.dataset.move), after: Number(row.dataset.after), box: row.querySelector('input'), now: row.querySelector('.now')}));
function showMoves(day) {
  for (const {row, number, after, box: input, now} of steps) {
    const p = D.pupae[number];
    const done = movesDone(p) >= after || Boolean(elsewhere(p));
    const why = done ? '' : whyNot(p, day, markOf(p)) || (outBefore(p, day) >= D.out ? 'out by then, most likely' : '');
    row.classList.toggle('done', done);
    input.checked = done;
    now.hidden = !why && !elsewhere(p);
    now.textContent = elsewhere(p) ? `hangs at ${spotWords(elsewhere(p))}` : why && `${dayText(day)}: ${why}`;
  }
}
