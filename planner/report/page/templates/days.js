// The season's data, its clock, and what each pupa is on a day. Times are minutes from the first day's start.
const D = JSON.parse(document.getElementById('facts').textContent);
const DAY = 1440;
const start = (([y, m, d]) => Date.UTC(y, m - 1, d))(D.day.split('-').map(Number));
const $ = (id) => document.getElementById(id);

const date = (minute) => new Date(start + minute * 60000);
const dayMonth = (minute) => {
  const pair = [date(minute).getUTCDate(), D.months[date(minute).getUTCMonth()]];
  return (D.month_first ? pair.reverse() : pair).join(' ');
};
const weekDay = (day) => D.weekdays[(date(day * DAY).getUTCDay() + 6) % 7];
const dayText = (day) => `${weekDay(day)} ${dayMonth(day * DAY)}`;
const isoDay = (minute) => date(minute).toISOString().slice(0, 10);
const hour = (minute) => {
  const h = date(minute).getUTCHours(), rest = date(minute).toISOString().slice(13, 16);
  return D.month_first ? `${h % 12 || 12}${rest} ${h < 12 ? 'am' : 'pm'}` : date(minute).toISOString().slice(11, 16);
};
const moment = (minute) => `${dayMonth(minute)} ${hour(minute)}`;
// Known to the minute; of midnight the day that ends, or that begins.
const untilText = (minute) => (minute % DAY ? moment(minute) : `the end of ${dayText(minute / DAY - 1)}`);
const sinceText = (minute) => (minute % DAY ? moment(minute) : dayText(minute / DAY));
// A predicted hour: the part of the day it lies in; a night bears the date of the evening before it.
function partOfDay(minute) {
  const part = Math.floor((((minute % DAY) + DAY) % DAY) / 360);
  return `the ${['night', 'morning', 'afternoon', 'evening'][part]} of ${dayMonth(part ? minute : minute - DAY)}`;
}
const percent = (chance) => (chance < 0.01 ? '<1 %' : chance > 0.99 ? '>99 %' : `${Math.round(chance * 100)} %`);
const count = (n, one, many) => `${n} ${n === 1 ? one : many || one + 's'}`;

// What this phone's clock says, in the same minutes; it hangs in the same room as the rack.
function phoneMinute() {
  const n = new Date();
  const local = Date.UTC(n.getFullYear(), n.getMonth(), n.getDate(), n.getHours(), n.getMinutes());
  return Math.floor((local - start) / 60000);
}

// Now: the phone's clock where it is later than the page and within its days, else when the page was made.
function currentMinute() {
  const phone = phoneMinute();
  return phone > D.now && phone < D.days * DAY ? phone : D.now;
}
const view = {now: currentMinute(), day: 0};
const today = () => Math.floor(view.now / DAY);
view.day = today();

// Chances of each row summed up: before[d] is the chance that it emerged before day d.
const before = D.chances.map((row) => row.reduce((sum, p) => (sum.push(sum[sum.length - 1] + p), sum), [0]));

// Given that it was not out when today began; the days before today are past and nobody is out yet.
function chance(p, day) {
  if (p.row === null || day < today() || day >= D.days) return 0;
  const left = 1 - before[p.row][today()];
  return left > 1e-9 ? D.chances[p.row][day] / left : 0;
}
function outBefore(p, day) {
  if (p.row === null) return 0;
  const base = before[p.row][today()];
  return base < 1 - 1e-9 ? (before[p.row][Math.min(day, D.days)] - base) / (1 - base) : 1;
}

// The moment to judge a day by: now, or when that day begins. Doubt goes to the animal.
const judged = (day) => (day === today() ? view.now : day * DAY);

// State and word of a pupa on a day. ``marked``: what was ticked of it on this phone.
function stateOf(p, day, marked) {
  const at = judged(day);
  if (marked && marked.what === 'pupated') return ['soft', D.words.soft];
  if (marked && marked.what !== 'darkening') return ['gone', marked.what === 'emerged' ? D.words.gone : marked.what];
  if (day > today() && outBefore(p, day) >= D.out) return ['out', D.words.out];
  if (p.by !== null && p.by < at) return ['late', D.words.late];
  if (chance(p, day) >= D.least) return ['due', percent(chance(p, day))];
  if (p.prepupa) return ['soft', 'J'];
  if (p.sight !== undefined && p.sight <= at) return ['dark', D.words.dark];
  if (marked) return ['dark', D.words.dark];
  if (p.firm !== null && at < p.firm) return ['soft', D.words.soft];
  if (p.dark !== null && at >= p.dark) return ['dark', D.words.dark];
  return p.stays ? ['stay', D.words.stay] : ['may', movesDone(p) < p.to.length ? D.words.may : D.words.firm];
}

// Why it must not be moved on a day, in words; empty where it may be.
function whyNot(p, day, marked) {
  const at = judged(day);
  if (marked && marked.what !== 'darkening') return marked.what === 'pupated' ? 'pupated today: soft, do not touch' : `marked as ${marked.what}`;
  if (p.prepupa) return 'hangs in a J: not to be touched';
  if (marked || (p.sight !== undefined && p.sight <= at)) return 'darkening was seen: do not move';
  if (p.firm !== null && at < p.firm) return `soft until ${untilText(p.firm)}: do not touch`;
  if (p.by !== null && p.by < at) return 'overdue: look without touching';
  if (p.dark !== null && at >= p.dark) return `may be darkening since ${partOfDay(p.dark)}: do not move`;
  return p.stays ? 'to stay, by your own word' : '';
}
