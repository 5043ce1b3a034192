// What was ticked, as lines to type at the computer: nothing is recorded before that.
const plainWord = /^[A-Za-z0-9_@%+=:,.\/-]+$/;
const quoted = (word) => (plainWord.test(word) ? word : `'${word.replaceAll("'", `'"'"'`)}'`);

// The day is enough, but on a day on which its time to be moved begins or ends.
function whenMoved(p, one) {
  const counts = [p.firm, p.dark].some((minute) => minute !== null && isoDay(minute) === one.on);
  return counts ? `${one.on}T${one.at}` : one.on;
}

function commands() {
  const lines = [];
  const known = new Map(D.pupae.map((p) => [p.id, p]));
  const tail = (on) => [D.folder, '--on', on].filter(Boolean).join(' ');
  const groups = new Map();
  const put = (key, id) => groups.set(key, [...(groups.get(key) || []), id]);
  for (const [id, one] of Object.entries(ticks.moved)) {
    const p = known.get(id);
    if (p && movesDone(p) && movesDone(p) === p.to.length) put(`done||${whenMoved(p, one)}`, id); // one that is parked is not there yet
  }
  for (const [id, one] of Object.entries(ticks.marks)) if (known.has(id)) put(`mark|${one.what}|${one.on}`, id);
  for (const [key, ids] of groups) {
    const [name, what, on] = key.split('|');
    lines.push(['hangplan', name, ...ids.map(quoted), what, tail(on)].filter(Boolean).join(' '));
  }
  return lines;
}

function showRecord() {
  const lines = commands();
  const number = Object.keys(ticks.moved).length + Object.keys(ticks.marks).length;
  $('number').hidden = !number;
  $('number').textContent = String(number);
  $('record').classList.toggle('nothing', !number);
  for (const note of document.querySelectorAll('.unsaved')) {
    note.hidden = !number;
    note.textContent = `${count(number, 'tick')} on this phone, not yet recorded.`;
  }
  $('ticked').replaceChildren(...(number ? [
    el('p', {class: 'alarm'}, `${count(number, 'tick')} on this phone, not yet recorded.`),
    el('p', null, ticks.kept ? 'This browser keeps them. To record them, type at the computer:' : 'This browser keeps no ticks: copy these lines before you close the page, and type them at the computer:'),
    ...lines.flatMap((text) => [el('pre', {class: 'command', tabindex: '0'}, text.split(' ').flatMap((word, i) => [i ? ' ' : '', el('span', null, word)])), copyButton('Copy this line', text)]),
    lines.length > 1 ? el('p', null, copyButton('Copy all lines', lines.join('\n'), true)) : '',
    el('p', null, 'Then make the page again, and forget these ticks: ', el('button', {type: 'button', onclick: forget}, 'Forget all ticks')),
  ] : [
    el('p', null, 'Nothing is ticked. Boxes you tick on this page are kept in this browser only; here you find the lines that record them in the season.'),
    ticks.kept ? '' : el('p', {class: 'alarm'}, 'This browser keeps no ticks: they last as long as the page is open.'),
  ]));
}

function forget() {
  if (!confirm('Forget all ticks on this phone? Do this only once they are recorded.')) return;
  ticks.marks = Object.create(null);
  ticks.moved = Object.create(null);
  saveTicks();
  showAll();
}

function copyButton(words, text, main) {
  const button = el('button', {type: 'button', class: main ? 'main' : ''}, words);
  button.addEventListener('click', async () => {
    const copied = await copy(text);
    button.textContent = copied ? 'Copied' : 'Select the line and copy it';
    setTimeout(() => { button.textContent = words; }, 2500);
  });
  return button;
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
