// Boxes that were ticked: kept in this browser, never in the season. What became of a pupa is kept for the season,
// moves for the plan in force. Where a browser keeps nothing (private windows, some files) they last as long as
// the page is open.
const ticks = {marks: Object.create(null), moved: Object.create(null), kept: true};
const keys = {marks: D.key, moved: `${D.key} ${D.plan}`};

function parsed(text) {
  try {
    const found = JSON.parse(text || '{}');
    return found && typeof found === 'object' ? found : {};
  } catch {
    return {};
  }
}

// What was kept, without what makes no sense or is of pupae that are gone since.
function readTicks() {
  const known = new Set(D.pupae.map((p) => p.id));
  for (const kind of ['marks', 'moved']) {
    let text = null;
    try {
      text = localStorage.getItem(keys[kind]);
    } catch {
      ticks.kept = false;
      continue;
    }
    ticks[kind] = Object.create(null);
    for (const [id, one] of Object.entries(parsed(text))) {
      const dated = one && /^\d{4}-\d\d-\d\d$/.test(one.on) && /^\d\d:\d\d$/.test(one.at);
      const told = dated && (kind === 'moved' ? one.number > 0 : one.what === 'darkening' || D.outcomes.includes(one.what));
      if (known.has(id) && told) ticks[kind][id] = one;
    }
  }
}

function saveTicks() {
  for (const kind of ['marks', 'moved']) {
    try {
      localStorage.setItem(keys[kind], JSON.stringify(ticks[kind]));
    } catch {
      ticks.kept = false;
    }
  }
}

// When it was ticked: what this phone's clock says, whatever day is looked at.
const ticked = () => ({on: isoDay(view.now), at: hour(view.now)});

function setMark(p, what) {
  if (what) ticks.marks[p.id] = {what, ...ticked()};
  else delete ticks.marks[p.id];
  saveTicks();
  showAll();
}

// ``number``: how many of its moves are done; mostly there is one.
function setMoved(p, number) {
  if (number) ticks.moved[p.id] = {number, ...ticked()};
  else delete ticks.moved[p.id];
  saveTicks();
  showAll();
}

const markOf = (p) => ticks.marks[p.id];
const movesDone = (p) => Math.min(ticks.moved[p.id]?.number || 0, p.to.length);
const placeNow = (p) => (movesDone(p) ? p.to[movesDone(p) - 1].at : p.at);
