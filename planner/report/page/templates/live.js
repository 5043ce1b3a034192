// Where the page is served: what is written down is sent, and the page made anew by what the season has then.
// Whatever goes wrong, the events stay in this browser and are sent again; the season takes each once.
const SEND_AFTER = 400; // ms from a tap until it is sent
const AT_REST = 3500; // ms without a touch until the page is made anew: nothing moves under a thumb
const LOOK_AFTER = 8000; // ms between two looks at the season
const SEND_MOST = 200; // events sent at once
const live = {had: new Set(), refused: new Map(), notes: [], trouble: '', lost: false, sending: false, again: false, stale: false, touched: false, timers: [], over: false, plan: {state: 'none'}};

const unsent = () => log.events.filter((e) => !live.had.has(e.id));
const sendable = (e) => !live.refused.has(e.id);

async function ask(path, body) {
  const more = body === undefined ? {} : {method: 'POST', body, headers: {'Content-Type': 'application/json', 'X-Hangplan-Token': D.live.token}};
  const answer = await fetch(new URL(path, location.href), {credentials: 'same-origin', cache: 'no-store', ...more});
  const found = await answer.json();
  if (!answer.ok) throw Object.assign(new Error(), {status: answer.status, problems: found.problems || []});
  live.lost = false;
  return found;
}

// What became of a request that failed: no answer, not paired any more, or what the computer says.
function failed(e) {
  live.lost = e.status === undefined;
  live.trouble = live.lost ? '' : e.status === 401 || (e.status === 403 && !e.problems.length) ? 'unpaired' : e.problems.join(' ');
}

async function send() {
  if (live.over) return;
  if (live.sending) { live.again = true; return; }
  readLog();
  const fresh = unsent();
  const events = [...fresh.filter(sendable), ...fresh.filter((e) => !sendable(e))].slice(0, SEND_MOST);
  if (!events.length) return;
  live.sending = true;
  live.again = false;
  for (const e of log.events) if (events.includes(e)) e.shared = true; // from here on the season may have it
  saveLog();
  try {
    const found = await ask('events', JSON.stringify(slipOf(events)));
    for (const id of [...found.taken, ...found.known]) live.had.add(id);
    for (const e of events) live.refused.delete(e.id);
    for (const {id, why} of found.refused) live.refused.set(id, why);
    live.notes = found.notes;
    live.trouble = '';
    if (found.taken.length || found.known.length) live.stale = true;
    live.again ||= unsent().some(sendable);
  } catch (e) {
    failed(e);
  }
  live.sending = false;
  showRecord();
  if (live.again) soon();
}

function soon() {
  clearTimeout(live.timers.soon);
  live.timers.soon = setTimeout(send, SEND_AFTER);
}

// One look: whether the season is another by now, how far its plan is, and whether anything waits to be sent.
async function look() {
  if (live.over || document.hidden) return;
  const was = live.lost;
  try {
    const found = await ask('state');
    live.stale ||= found.version !== D.live.version;
    const before = live.plan.state;
    live.plan = found.plan;
    if (before === 'running' || before === 'stopping') live.stale ||= found.plan.state === 'over';
    if (!unsent().some(sendable)) live.trouble = ''; // else the next sending says whether it is over
    if (unsent().some(sendable) || was) soon();
  } catch (e) {
    failed(e);
  }
  showLive();
  const busy = ['running', 'stopping'].includes(live.plan.state);
  clearTimeout(live.timers.look);
  live.timers.look = setTimeout(look, busy ? 1000 : LOOK_AFTER);
}

// Made anew only where nobody is in the midst of something, and with all of the new text at hand.
const inTheMidst = () => live.touched || unsent().some((e) => sendable(e) || !log.kept) || document.querySelector('dialog[open]') || hanging || live.sending
  || (document.activeElement?.matches('input:not([type=checkbox],[type=range]),select') && document.activeElement.value !== '');

async function renew() {
  if (!live.stale || live.over || document.hidden || inTheMidst()) return;
  live.stale = false;
  let text = '';
  try {
    const answer = await fetch(location.href, {credentials: 'same-origin', cache: 'no-store', headers: {Accept: 'text/html'}});
    if (!answer.ok || !answer.url.startsWith(location.href.split('#')[0])) throw Object.assign(new Error(), {status: answer.status === 200 ? 401 : answer.status, problems: ['The season cannot be shown anew: look at its files at the computer.']});
    text = await answer.text();
  } catch (e) {
    failed(e);
    live.stale = true;
    showLive();
    return;
  }
  if (inTheMidst()) { live.stale = true; return; }
  keepView();
  if (!text.includes(D.live.buildMark)) { location.reload(); return; } // another version of the page's scripts
  live.over = true;
  readLog();
  log.events = log.events.filter((e) => !live.had.has(e.id)); // the new page has them
  saveLog();
  for (const timer of Object.values(live.timers)) { clearTimeout(timer); clearInterval(timer); }
  clearInterval(ticking);
  cancelAnimationFrame(waiting);
  document.open();
  document.write(text);
  document.close();
}

// Where one was on the page, over a page made anew.
const VIEW = `${OWN} view`;
function keepView() {
  const focus = document.activeElement;
  const shown = {part: document.body.dataset.part, day: view.day === today() ? 0 : start + view.day * DAY * 60000, y: scrollY, size, key: focus?.dataset.key || '', id: focus?.id || '', had: live.notes, slip: $('slip-words').textContent};
  try { sessionStorage.setItem(VIEW, JSON.stringify(shown)); } catch { /* then it begins at the top */ }
}

function backToView() {
  let kept = null;
  try {
    kept = JSON.parse(sessionStorage.getItem(VIEW) || 'null');
    sessionStorage.removeItem(VIEW);
  } catch { /* nothing was kept */ }
  if (!kept || !['day', 'rack', 'moves', 'record'].includes(kept.part)) return;
  part(kept.part);
  resize((Number(kept.size) || 0) - size);
  if (kept.day) setDay(Math.round((kept.day - start) / DAY / 60000));
  live.notes = Array.isArray(kept.had) ? kept.had.map(String) : [];
  $('slip-words').textContent = String(kept.slip || '');
  requestAnimationFrame(() => {
    scrollTo(0, Number(kept.y) || 0);
    const node = kept.id ? $(kept.id) : kept.key ? [...document.querySelectorAll('[data-key]')].find((n) => n.dataset.key === kept.key) : null;
    node?.focus({preventScroll: true});
  });
}

// How it stands between this device and the season.
function showLive() {
  const number = unsent().length;
  const refused = unsent().filter((e) => !sendable(e)).length;
  const waits = number - refused;
  const words = live.trouble === 'unpaired' ? [el('span', null, 'This device is not paired any more. What you wrote down stays on it. '), el('a', {href: '/pair'}, 'Pair it again')]
    : live.trouble ? [`${waits ? `${count(waits, 'event')} wait${waits === 1 ? 's' : ''} on this device. ` : ''}${live.trouble}`]
    : live.lost ? [waits ? `The computer does not answer: ${count(waits, 'event')} wait${waits === 1 ? 's' : ''} on this device. Keep this page open; all is sent by itself.` : 'The computer does not answer. Go on, and keep this page open: what you write down is sent later.']
    : refused ? [`${count(refused, 'event')} cannot be recorded: see Record.`]
    : waits ? ['Being recorded …'] : ['All is recorded.'];
  if ($('live').textContent !== words.map((w) => w.textContent ?? w).join('')) $('live').replaceChildren(...words); // told once
  $('live').className = live.trouble || live.lost || refused ? 'alarm' : 'quiet';
  $('live-notes').hidden = !live.notes.length;
  $('live-notes').textContent = live.notes.join(' ');
  showPlan();
}

// The plan: made at the computer, told here.
function showPlan() {
  const {state, step, seconds, made, words, ways = []} = live.plan;
  const going = state === 'running' || state === 'stopping';
  $('plan-start').hidden = going;
  $('plan-stop').hidden = !going;
  $('plan-stop').disabled = state === 'stopping';
  const text = state === 'stopping' ? 'Stopping: the best plan so far is kept.'
    : state === 'running' ? `Planning: ${step}, ${seconds} s.`
    : state === 'over' ? (made ? '' : 'No plan was made. ') + words.join('\n') : '';
  if ($('plan-words').textContent !== text) $('plan-words').textContent = text;
  $('plan-words').className = state === 'over' && !made ? 'alarm told' : 'told';
  $('plan-ways').hidden = !ways.length;
  if ($('plan-ways').dataset.shown === JSON.stringify(ways)) return;
  $('plan-ways').dataset.shown = JSON.stringify(ways);
  $('plan-ways').replaceChildren(el('h3', null, 'Ways out, each at its price'), el('ul', null, ways.map(([text, taps], i) => el('li', {class: 'why'},
    `${text[0].toUpperCase()}${text.slice(1)}${text.endsWith('.') ? '' : '.'} `, taps ? el('button', {type: 'button', class: 'more', onclick: () => planAnew(i)}, 'Plan so') : ''))));
}

// ``way``: the number of a way out of the clashes of the plan before.
async function planAnew(way) {
  try {
    await ask('plan', JSON.stringify({seconds: 60, way}));
    live.plan = {state: 'running', step: 'reading the season', seconds: 0};
    clearTimeout(live.timers.look);
    live.timers.look = setTimeout(look, 500);
  } catch (e) { failed(e); } // told until the next look
  showLive();
}

async function stopPlan() {
  try {
    await ask('stop', '{}');
    live.plan = {...live.plan, state: 'stopping'};
  } catch (e) { failed(e); }
  showLive();
}

// A slip of a page that was taken along as a file.
async function handIn(file) {
  let words = 'The computer does not answer: hand it in later.';
  try {
    const {taken: fresh, known, refused} = await ask('events', await file.text());
    words = [`${count(fresh.length, 'event')} recorded${known.length ? `, ${known.length} known before` : ''}.`, ...refused.map(({why}) => `Not recorded: ${why}`)].join(' ');
    if (fresh.length) live.stale = true;
  } catch (e) {
    if (e.problems) words = e.problems.join(' ');
  }
  $('slip-words').textContent = words;
}

function touch() {
  live.touched = true;
  clearTimeout(live.timers.touched);
  live.timers.touched = setTimeout(() => { live.touched = false; }, AT_REST);
}

function startLive() {
  D.live.buildMark = D.live.build.replaceAll("'", '&#39;');
  for (const kind of ['pointerdown', 'keydown', 'touchmove', 'wheel']) addEventListener(kind, touch, {passive: true, capture: true});
  for (const button of document.querySelectorAll('[data-plan]')) button.addEventListener('click', () => planAnew());
  $('plan-stop').addEventListener('click', stopPlan);
  $('slip-in').addEventListener('change', (e) => { if (e.target.files[0]) handIn(e.target.files[0]); e.target.value = ''; });
  addEventListener('online', look);
  addEventListener('visibilitychange', () => { if (!document.hidden) look(); });
  live.timers.renew = setInterval(renew, 700);
  backToView();
  showLive();
  soon();
  look();
}
