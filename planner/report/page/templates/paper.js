// On paper nothing scrolls: a line longer than the sheet is set in several rows, cut between two tags.
const SHEET = 700;
const SVG = 'http://www.w3.org/2000/svg';

function slices({svg, box: parent, width, height}) {
  if (width <= SHEET || !svg.querySelector('.line')) return;
  const cards = [...svg.querySelectorAll('g.p')].map((node) => [point(node).e, node]).sort((a, b) => a[0] - b[0]);
  const half = cards.length ? Number(cards[0][1].querySelector('rect').getAttribute('width')) / 2 + 2 : 4;
  const [most, long] = [SHEET - 2 * half, width - 2 * half];
  const step = Math.min(most, long / Math.ceil(long / most) + 12); // rows of about one length
  parent.classList.add('sliced');
  const xs = [...cards.map(([x]) => x), ...[...svg.querySelectorAll('text.number')].map((t) => Number(t.getAttribute('x')))];
  for (let left = half, right = 0; left < width - half; left = right) {
    right = Math.min(left + step, width - half);
    right = Math.min(right, ...xs.filter((x) => Math.abs(x - right) < 9).map((x) => x - 9)); // not through a spot
    const row = document.createElementNS(SVG, 'svg');
    row.setAttribute('class', 'strip slice');
    row.setAttribute('width', SHEET);
    const here = cards.filter(([x]) => within(x, left, right)).map(([, n]) => n);
    const high = Math.min(height, Math.max(BARE, ...here.map(lowest))); // a row with few tags, or none, is lower
    row.setAttribute('height', high);
    row.setAttribute('viewBox', `${left - half} 0 ${SHEET} ${high}`);
    const line = document.createElementNS(SVG, 'path');
    line.setAttribute('class', 'line');
    line.setAttribute('d', `M${left} ${svg.querySelector('.line').getAttribute('d').match(/^M\S+ (\S+?)H/)[1]}H${right}`);
    const marks = document.createElementNS(SVG, 'svg'); // cuts off the marks of the other rows
    for (const [key, value] of Object.entries({x: left, y: 0, width: right - left, height: high, viewBox: `${left} 0 ${right - left} ${high}`})) marks.setAttribute(key, value);
    marks.append(...[...svg.querySelectorAll('.mark, .kept, .bad, .thread, .divider')].map((n) => n.cloneNode(true)));
    const numbers = [...svg.querySelectorAll('text.number')].filter((t) => within(Number(t.getAttribute('x')), left, right)).map((n) => n.cloneNode(true));
    row.append(line, marks, ...numbers, ...here.map((n) => n.cloneNode(true)));
    parent.append(row);
  }
}
const BARE = 44;
const lowest = (node) => {
  const tag = node.querySelector('rect');
  return point(node).f + Number(tag.getAttribute('y')) + Number(tag.getAttribute('height')) + 10;
};
const within = (x, left, right) => x >= left && x < right;

function startPaper() {
  addEventListener('beforeprint', () => {
    $('signs').open = true;
    for (const name of ['due', 'late']) opened.add(name);
    showDay();
    showTags(true);
    strips.forEach(slices);
  });
  addEventListener('afterprint', () => {
    for (const row of document.querySelectorAll('.slice')) row.remove();
    for (const parent of document.querySelectorAll('.sliced')) parent.classList.remove('sliced');
  });
}
