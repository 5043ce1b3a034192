// What the season does not have yet, in words, and out of it one slip for ``hangplan take``.
const FROM = '[hangplan slip begins]';
const TO = '[hangplan slip ends]';

function crc32(bytes) {
  let crc = -1;
  for (const byte of bytes) {
    crc ^= byte;
    for (let k = 0; k < 8; k += 1) crc = (crc >>> 1) ^ (crc & 1 ? 0xedb88320 : 0);
  }
  return ((crc ^ -1) >>> 0).toString(16).padStart(8, '0');
}

const utf8 = (text) => new TextEncoder().encode(text);
function slipOf(some) {
  const events = some.map(({shared, ...e}) => e);
  return {slip: 1, season: D.season, name: D.name, device: log.device, check: crc32(utf8(JSON.stringify(events))), events};
}

// As text that survives mail and chat: base64 between two marker lines, for none of its letters has a meaning there.
function slipText() {
  let bytes = '';
  for (const byte of utf8(JSON.stringify(slipOf(log.events)))) bytes += String.fromCharCode(byte);
  return [FROM, ...btoa(bytes).replace(/=+$/, '').match(/.{1,64}/g), TO, ''].join('\n');
}

// Once it has left the phone the season may have it: from then on an event is taken back, not forgotten.
function given() {
  readLog();
  for (const e of log.events) e.shared = true;
  saveLog();
}

const fileName = () => `slip-${log.device}-${new Date(log.last).toISOString().slice(0, 16).replace(/[-:]/g, '').replace('T', '-')}.txt`;

async function share(button) {
  const text = slipText();
  const file = new File([text], fileName(), {type: 'text/plain'});
  const what = navigator.canShare?.({files: [file]}) ? {files: [file]} : {text};
  try {
    await navigator.share(what);
    given();
    say(button, 'Shared');
  } catch (e) {
    if (e.name !== 'AbortError') say(button, 'Copy it instead');
  }
}

function download(button) {
  const url = URL.createObjectURL(new Blob([slipText()], {type: 'text/plain'}));
  const link = el('a', {href: url, download: fileName()});
  document.body.append(link);
  link.click();
  link.remove();
  setTimeout(() => URL.revokeObjectURL(url), 60000);
  given();
  say(button, 'Saved');
}

async function copySlip(button) {
  const text = slipText();
  if (await copy(text)) {
    given();
    say(button, 'Copied');
  } else say(button, 'It cannot be copied here');
}

function say(button, words) {
  const before = button.dataset.words || button.textContent;
  button.dataset.words = before;
  button.textContent = words;
  setTimeout(() => { button.textContent = before; }, 2500);
}

async function copy(text) {
  try {
    await navigator.clipboard.writeText(text);
    return true;
  } catch {
    const area = el('textarea', {readonly: true});
    area.value = text;
    document.body.append(area);
    area.select();
    const copied = document.execCommand('copy');
    area.remove();
    return copied;
  }
}

// One event as it is told, with the pupa it is of.
function eventWords(e) {
  switch (e.kind) {
    case 'recorded': return ['new', `on ${e.lid}${e.x ? ` at ${e.x},${e.y}` : ''}, ${e.pupated ? `pupated ${dayText(dayOf(e.pupated))}` : 'in a J'}`];
    case 'moved': return [e.pupa, `→ ${spotWords(e)}`];
    case 'marked': return [e.pupa, e.what];
    case 'pupated': return [e.pupa, 'pupated'];
    case 'cleaned': return [e.pupa, 'cleaned what it hung from'];
    default: return [e.pupa, `note: ${e.note}`];
  }
}
const dayOf = (iso) => Math.round((Date.parse(`${iso.slice(0, 10)}T00:00Z`) - start) / 86400000);

function untaken(events) {
  return el('ol', {class: 'rows untaken'}, [...events].reverse().map((e) => {
    const [who, what] = eventWords(e);
    const words = `take back: ${who} ${what}`;
    return el('li', {class: 'row'}, el('b', {class: 'id'}, bdi(who)), el('span', {class: 'way'}, el('bdi', {dir: 'ltr'}, what)),
      el('span', {class: 'when'}, `${e.at.slice(11, 16)} ${dayText(dayOf(e.at))}`, D.live && live.refused.has(e.id) ? el('b', {class: 'alarm why-not'}, live.refused.get(e.id)) : ''),
      el('button', {type: 'button', 'aria-label': words, title: words, onclick: () => write([], [e])}, '×'));
  }));
}

function showRecord() {
  if (D.live) showLive();
  const fresh = D.live ? unsent() : log.events; // what takes another back is to be recorded too
  const events = holding().filter((e) => fresh.includes(e));
  const number = fresh.length;
  $('number').hidden = !number;
  $('number').textContent = String(number);
  $('record').classList.toggle('nothing', !number);
  for (const note of document.querySelectorAll('.unsaved')) {
    note.hidden = !number;
    note.textContent = `${count(number, 'event')} on this phone, not yet recorded.`;
  }
  const button = (words, act, main) => el('button', {type: 'button', class: main ? 'main' : '', onclick: (e) => act(e.currentTarget)}, words);
  $('untaken').replaceChildren(...(number ? [
    el('p', {class: 'alarm'}, `${count(number, 'event')} on this phone, not yet recorded.`),
    el('div', {class: 'out'}, navigator.share ? button('Share the slip', share, true) : '', button('Save the slip', download, !navigator.share), button('Copy it as text', copySlip)),
    ...(D.live ? [el('p', null, 'They are sent by themselves. Should that not go, share the slip, and take it at the computer.')] : [el('p', null, 'At the computer, with the file or with the text pasted:'), typed(fileName()), typed('-')]),
    el('p', {class: log.kept ? 'quiet' : 'alarm'}, log.kept ? `This browser keeps them until ${D.live ? 'they are recorded' : 'a page is made that knows they are recorded'}.` : 'This browser keeps nothing: share the slip before you close the page.'),
    untaken(events),
    el('p', null, button('Forget all of it', forget)),
  ] : [
    el('p', null, D.live ? 'Nothing is waiting. What you tick, mark and tap on this page is recorded at once.' : 'Nothing is waiting. What you tick, mark and tap on this page is kept in this browser; here you send it to the season.'),
    log.kept ? '' : el('p', {class: 'alarm'}, 'This browser keeps nothing: what you write down lasts as long as the page is open.'),
  ]));
}

// How it is taken at the computer; no word of it is parted at a row's end.
const typed = (file) => el('pre', {class: 'command', tabindex: '0'}, ['hangplan', 'take', file, D.folder].filter(Boolean).flatMap((word, i) => [i ? ' ' : '', el('span', null, word)]));

function forget() {
  if (!confirm('Forget all that is not yet recorded? Do this only if you want none of it.')) return;
  readLog();
  log.events = [];
  saveLog();
  showAll();
}

function startSlip() {
  addEventListener('beforeunload', (e) => { if (!log.kept && log.events.length) e.preventDefault(); });
  $('lids').replaceChildren(...D.lids.map((lid, i) => el('button', {type: 'button', class: 'main', onclick: () => openLid(i)}, bdi(lid.name))));
}
