// The bar with day and parts, colours for day and night, and the clock.
function showAll() {
  showRack();
  showDay();
  showRecord();
}

let waiting = 0;
let ticking = 0;
function setDay(day) {
  view.day = Math.max(today(), Math.min(D.days - 1, day));
  $('slider').value = String(view.day);
  $('slider').setAttribute('aria-valuetext', dayText(view.day));
  $('shown-day').textContent = view.day === today() ? `Today, ${dayText(view.day)}` : dayText(view.day);
  $('before').disabled = view.day === today();
  $('after').disabled = view.day === D.days - 1;
  cancelAnimationFrame(waiting); // while the thumb slides, only the last day of a frame is drawn
  waiting = requestAnimationFrame(() => { showRack(); showDay(); });
}

function part(name, up) {
  document.body.dataset.part = name;
  for (const button of document.querySelectorAll('[data-part]')) {
    if (button.tagName !== 'BUTTON') continue;
    if (button.dataset.part === name) button.setAttribute('aria-current', 'true');
    else button.removeAttribute('aria-current');
  }
  if (name === 'rack') {
    fitNames();
    showTags();
  }
  if (up) $(name).scrollIntoView({block: 'start'});
}

function showTheme(name) {
  const dark = name ? name === 'dark' : matchMedia('(prefers-color-scheme: dark)').matches;
  if (name) document.documentElement.dataset.theme = name;
  $('theme').textContent = dark ? 'Day colours' : 'Night colours';
  return dark;
}

// What is shown of all pupae, in one text: drawn anew only when the clock has changed something in it.
const told = () => D.pupae.map((p) => `${stateOf(p, view.day, markOf(p))} ${whyNot(p, view.day, markOf(p))}`).join();

// The page grows old: say so, and follow the phone's clock through the day.
function tick() {
  const was = today();
  const before = told();
  view.now = currentMinute();
  const phone = phoneMinute();
  const old = Math.floor(phone / DAY) !== Math.floor(D.now / DAY);
  $('stale').hidden = !old;
  if (old) $('stale').textContent = `Made for ${dayText(Math.floor(D.now / DAY))}, and this phone's day is another: ${D.live ? 'it is made anew once the computer answers' : "'hangplan page' makes a new one"}.`;
  $('slider').min = String(today());
  if (today() !== was) setDay(view.day <= was ? today() : view.day);
  else if (told() !== before) showAll();
}

function start_() {
  document.body.classList.add('ready');
  $('slider').min = String(today());
  let theme = null;
  try { theme = localStorage.getItem('hangplan look'); } catch { /* then as the system has it */ }
  showTheme(['light', 'dark'].includes(theme) ? theme : '');
  $('theme').addEventListener('click', () => {
    const next = showTheme(document.documentElement.dataset.theme) ? 'light' : 'dark';
    showTheme(next);
    try { localStorage.setItem('hangplan look', next); } catch { /* lasts as long as the page */ }
  });
  readLog();
  startRack();
  startCard();
  startHang();
  startLid();
  startSlip();
  startPaper();
  $('slider').addEventListener('input', () => setDay(Number($('slider').value)));
  $('before').addEventListener('click', () => setDay(view.day - 1));
  $('after').addEventListener('click', () => setDay(view.day + 1));
  for (const button of document.querySelectorAll('button[data-part]')) button.addEventListener('click', () => { part(button.dataset.part); scrollTo(0, 0); });
  for (const {number, after, box: input} of steps) input.addEventListener('change', () => setMoved(D.pupae[number], input.checked ? after : after - 1));
  addEventListener('storage', () => { readLog(); showAll(); });
  for (const button of document.querySelectorAll('[data-go]')) button.addEventListener('click', () => { const go = button.dataset.go; part(go === 'closed' ? 'day' : go); $(go === 'day' ? 'lists' : go).scrollIntoView({block: 'start'}); });
  $('signs').open = innerWidth >= 1000;
  addEventListener('resize', fitNames);
  part('day');
  fitNames();
  resize(0);
  tick();
  showAll();
  setDay(today());
  ticking = setInterval(tick, 30000);
  addEventListener('visibilitychange', () => { if (!document.hidden) tick(); });
  if (D.live) startLive();
}
start_();
