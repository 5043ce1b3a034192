// What was written down on this phone: one event each, kept in this browser until the season has it. A page that
// is made later knows the ids of what was taken, and those events are gone from here. Where a browser keeps nothing
// (private windows, some files) they last as long as the page is open.
const log = {device: '', last: 0, events: [], kept: true};
const OWN = [D.key, D.live?.copy].filter(Boolean).join(' '); // two copies of a season, served side by side, have one id
const KEY = `${OWN} events`;
const taken = new Set(D.taken);
const KINDS = ['recorded', 'moved', 'marked', 'pupated', 'cleaned', 'noted', 'taken back'];
const letters = (n) => Array.from(crypto.getRandomValues(new Uint8Array(n)), (b) => 'abcdefghijkmnpqrstuvwxyz23456789'[b % 32]).join('');

// What was kept, without what makes no sense or was taken since.
function readLog() {
  let found = {};
  try {
    found = JSON.parse(localStorage.getItem(KEY) || '{}') || {};
  } catch (e) {
    if (!(e instanceof SyntaxError)) log.kept = false;
  }
  log.device ||= letters(6);
  if (!log.kept) return;
  const is = (form, text) => typeof text === 'string' && form.test(text);
  const sound = (e) => e && is(/^[a-z0-9]{8,20}$/, e.id) && is(/^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d\.\d{3}$/, e.at) && KINDS.includes(e.kind)
    && Object.values(e).every((v) => typeof v === 'string' || v === true) && ['pupa', 'lid', 'of'].some((key) => e[key]);
  log.events = (Array.isArray(found.events) ? found.events : []).filter((e) => sound(e) && !taken.has(e.id));
  log.device = is(/^[a-z0-9]{4,12}$/, found.device) ? found.device : log.device;
  log.last = Number.isFinite(found.last) ? found.last : 0;
}

function saveLog() {
  try {
    localStorage.setItem(KEY, JSON.stringify({device: log.device, last: log.last, events: log.events}));
  } catch {
    log.kept = false;
  }
}

// The phone's clock, never behind the page and never twice the same: events of one phone stay in their order.
function stamp() {
  const n = new Date();
  const local = Date.UTC(n.getFullYear(), n.getMonth(), n.getDate(), n.getHours(), n.getMinutes(), n.getSeconds(), n.getMilliseconds());
  log.last = Math.max(local, start + D.now * 60000, log.last + 1);
  return new Date(log.last).toISOString().slice(0, -1);
}

// One or more events are written down and others taken back, in one go; another tab may have written meanwhile.
function write(add, remove = []) {
  readLog();
  const ids = new Set(remove.map((e) => e.id));
  const back = log.events.filter((e) => ids.has(e.id) && e.shared); // the season may have it by now
  log.events = log.events.filter((e) => !ids.has(e.id) || e.shared);
  const made = [...back.map((e) => ({kind: 'taken back', of: e.id})), ...add].map((e) => ({id: letters(12), at: stamp(), ...e}));
  log.events.push(...made);
  saveLog();
  showAll();
  if (D.live) soon();
  return made;
}

// The events that hold: those taken back, and what takes them back, are told to the season but not shown.
function holding() {
  const back = new Set(log.events.map((e) => e.of).filter(Boolean));
  return log.events.filter((e) => !back.has(e.id) && e.kind !== 'taken back');
}
const eventsOf = (p, ...kinds) => holding().filter((e) => e.pupa === p.id && kinds.includes(e.kind));
const lastOf = (p, ...kinds) => eventsOf(p, ...kinds).pop();

function setMark(p, what) {
  const kind = what === 'pupated' ? {kind: 'pupated'} : {kind: 'marked', what};
  write(what ? [{...kind, pupa: p.id}] : [], eventsOf(p, 'marked', 'pupated'));
}

const markOf = (p) => {
  const e = lastOf(p, 'marked', 'pupated');
  return e && {what: e.what || 'pupated'};
};

// What sick ones hung from is closed until it is cleaned, a lid as a whole: where, who it was, and whether it is cleaned.
function closedPlaces() {
  const found = new Map();
  const ill = D.pupae.filter((p) => D.sick.includes(markOf(p)?.what)).map((p) => ({id: p.id, place: lastOf(p, 'moved')?.place || p.place, at: placeNow(p)}));
  for (const one of [...D.closed, ...ill]) {
    const lid = D.lids.some((l) => l.name === one.place);
    const key = lid ? one.place : `${one.place} ${one.at}`;
    found.set(key, [...(found.get(key) || []), {...one, at: lid ? placeOf(one.place)?.told || one.at : one.at}]);
  }
  return [...found.values()];
}

function setCleaned(those, yes) {
  write(yes ? those.map((one) => ({kind: 'cleaned', pupa: one.id})) : [], those.flatMap((one) => eventsOf(one, 'cleaned')));
}

// It hangs there now. Where it was not to be touched the season wants to be told that it was all the same.
function hang(p, place, spot) {
  const why = whyNot(p, today(), markOf(p));
  if (why && !confirm(`${p.id}: ${why}. Was it moved all the same?`)) return showAll();
  return write([{kind: 'moved', pupa: p.id, place, spot, ...(why ? {anyway: true} : {})}], eventsOf(p, 'moved'));
}

// ``number``: how many of its moves are done; mostly there is one.
function setMoved(p, number) {
  const to = p.to[number - 1];
  return to ? hang(p, to.place, to.spot) : write([], eventsOf(p, 'moved'));
}

function movesDone(p) {
  const e = lastOf(p, 'moved');
  return e ? 1 + p.to.findIndex((t) => t.place === e.place && t.spot === e.spot) : 0;
}
const elsewhere = (p) => (movesDone(p) ? undefined : lastOf(p, 'moved'));
const placeNow = (p) => (movesDone(p) ? p.to[movesDone(p) - 1].at : elsewhere(p) ? spotWords(elsewhere(p)) : p.at);

function spotWords({place, spot}) {
  const found = placeOf(place);
  if (!found) return `${place} ${spot}`;
  return found.kind === 'lid' ? found.told : `${found.told} ${spot}${found.kind === 'line' ? ` ${D.units}` : ''}`;
}
const placeOf = (name) => D.places.find((one) => one.name === name);
