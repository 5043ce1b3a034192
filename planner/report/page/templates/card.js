// One pupa in full: opened by a tap on its tag or its id.
let cardFrom = null;

function openCard(number, from) {
  cardFrom = from;
  fillCard(number);
  if (!$('card').open) $('card').showModal();
  $('card').scrollTop = 0;
}

function fillCard(number) {
  const p = D.pupae[number];
  const mark = markOf(p);
  const [state, word] = stateOf(p, view.day, mark);
  const why = whyNot(p, view.day, mark);
  const facts = [
    ['shown for', dayText(view.day)],
    ['hangs', spotText(placeNow(p))],
    ...p.to.map((t) => [`step ${t.step}`, el('span', null, 'to ', spotText(t.at), `, from ${sinceText(t.after)} on, ${t.before === null ? 'no date is known' : `before ${partOfDay(t.before)}`}`)]),
    ['kind', p.kind],
    ['pupated', p.pupated || 'not yet: hangs in a J'],
    p.firm !== null && ['firm from', sinceText(p.firm)],
    p.sight !== undefined ? ['darkening', `seen ${moment(p.sight)}`] : p.dark !== null && ['may darken', `from ${partOfDay(p.dark)} on`],
    p.due === null ? ['due', 'no date'] : ['due', `${weekDay(Math.floor(p.due / DAY))} ${dayMonth(p.due)}; 9 in 10 from ${dayMonth(p.low)} to ${dayMonth(p.high)}`],
    ...pairsOf(number),
    p.doubt && ['take care', p.doubt],
    p.note && ['note', bdi(p.note)],
    ...eventsOf(p, 'noted').map((e) => ['note', bdi(e.note)]),
  ].filter(Boolean);
  const close = el('button', {type: 'button', onclick: () => $('card').close()}, 'Close');
  $('card-body').replaceChildren(
    el('div', {class: 'top'}, el('h2', {id: 'card-title'}, bdi(p.id), ' ', el('span', {class: `state s-${state}`}, state === 'due' ? `due: ${word}` : D.signs[state])), close),
    why ? el('p', {class: 'alarm'}, `${why[0].toUpperCase()}${why.slice(1)}.`) : '',
    el('dl', null, facts.flatMap(([term, what]) => [el('dt', null, term), el('dd', null, what)])),
    ...diagram(p), actions(p, number, mark));
}

// Pairs the plan leaves too near, or that wait to be parted.
function pairsOf(number) {
  const told = (pairs, term) => pairs.filter(([a, b]) => a === number || b === number)
    .map(([a, b, days]) => [term, el('span', null, bdi(D.pupae[a === number ? b : a].id), `${apart(days)}, is its neighbour`)]);
  return [...told(D.clashes, 'clash'), ...told(D.waiting, 'to be parted')];
}

// Its chance on each day, as bars with their numbers.
function diagram(p) {
  if (p.row === null) return [];
  const days = D.chances[p.row].map((_, d) => [d, chance(p, d)]).filter(([, c]) => c >= 0.005);
  if (!days.length) return [];
  const first = days[0][0];
  const span = days[days.length - 1][0] - first + 1;
  const most = Math.max(...days.map(([, c]) => c));
  const wide = 44;
  const NS = 'http://www.w3.org/2000/svg';
  const svg = document.createElementNS(NS, 'svg');
  const words = days.map(([d, c]) => `${dayText(d)} ${percent(c)}`).join(', ');
  const add = (name, props, text) => {
    const node = document.createElementNS(NS, name);
    for (const [key, value] of Object.entries(props)) node.setAttribute(key, value);
    if (text) node.textContent = text;
    svg.append(node);
  };
  for (const [key, value] of Object.entries({class: 'bars', viewBox: `0 0 ${span * wide} 104`, width: span * wide, height: 104, role: 'img', 'aria-label': `Chance of emerging: ${words}`})) svg.setAttribute(key, value);
  for (const [d, c] of days) {
    const x = (d - first) * wide;
    const high = Math.max(1.5, (c / most) * 52);
    add('rect', {x: x + 6, y: 70 - high, width: wide - 12, height: high, rx: 3});
    add('text', {x: x + wide / 2, y: 66 - high}, percent(c));
    add('text', {x: x + wide / 2, y: 86}, weekDay(d));
    add('text', {x: x + wide / 2, y: 101}, dayMonth(d * DAY));
  }
  return [el('div', {class: 'scroll', tabindex: '0', role: 'group', 'aria-label': 'Chance of emerging on each day'}, svg),
    el('p', {class: 'quiet'}, `Chances hold if it was not out when ${dayText(today())} began, or when this page was made.`)];
}

function actions(p, number, mark) {
  const words = p.prepupa ? ['pupated', ...D.outcomes] : ['darkening', ...D.outcomes];
  const choose = el('select', {id: 'became', onchange: (e) => { setMark(p, e.target.value); fillCard(number); $('became').focus(); }},
    el('option', {value: ''}, 'nothing yet'),
    words.map((what) => el('option', {value: what}, what)));
  choose.value = mark ? mark.what : '';
  const permit = mark && ['released', 'escaped'].includes(mark.what) ? el('p', {class: 'alarm'}, 'Releasing may need a permit where you are: ask your wildlife agency first.') : '';
  const ill = mark && ['failed', 'deformed', 'parasitised'].includes(mark.what) ? el('p', {class: 'alarm'}, 'Set it apart, wash your hands, and clean what it hung from.') : '';
  return el('div', {class: 'do'},
    el('label', {for: 'became'}, 'What became of it, to be recorded later:'), choose, permit, ill,
    mark && mark.what !== 'darkening' ? '' : p.to.map((t, i) => {
      const input = el('input', {type: 'checkbox', onchange: (e) => { setMoved(p, e.target.checked ? i + 1 : i); fillCard(number); }});
      input.checked = movesDone(p) > i;
      return el('label', null, input, el('span', null, 'moved to ', spotText(t.at)));
    }),
    elsewhere(p) ? el('div', {class: 'line'}, el('span', null, 'hangs at ', spotText(placeNow(p)), ', as you say'), el('button', {type: 'button', onclick: () => { write([], eventsOf(p, 'moved')); fillCard(number); }}, 'Take it back')) : '',
    el('button', {type: 'button', onclick: () => choosePlace(p)}, 'Hung elsewhere'),
    noteField(p, number),
    el('button', {type: 'button', onclick: () => { $('card').close(); goTo(number); }}, 'Show it on the rack'));
}

function noteField(p, number) {
  const input = el('input', {type: 'text', maxlength: 500, 'aria-label': `A note on ${p.id}`, placeholder: 'a note'});
  const add = () => {
    const note = input.value.trim();
    if (!note) return;
    write([{kind: 'noted', pupa: p.id, note}]);
    fillCard(number);
  };
  input.addEventListener('keydown', (e) => { if (e.key === 'Enter') add(); });
  return el('div', {class: 'note'}, input, el('button', {type: 'button', onclick: add}, 'Add note'));
}

function startCard() {
  $('card').addEventListener('close', () => cardFrom?.focus({preventScroll: true}));
  $('card').addEventListener('click', (e) => { if (e.target === $('card')) $('card').close(); });
  for (const button of document.querySelectorAll('[data-card]')) button.addEventListener('click', () => openCard(Number(button.dataset.card), button));
}
