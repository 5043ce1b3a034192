// What the tests measure on the page; all lengths px of the window.
({
  // Texts that stick out of their tag, tags that cover one another, and tags that stick out of their strip.
  tags() {
    const found = {out: [], over: [], cut: []};
    for (const svg of document.querySelectorAll('svg.strip')) {
      const edge = svg.getBoundingClientRect();
      const all = [...svg.querySelectorAll('g.p')].map((g) => [g.querySelector('rect').getBoundingClientRect(), g]);
      all.sort((a, b) => a[0].left - b[0].left);
      all.forEach(([box, g], i) => {
        for (const text of g.querySelectorAll('text')) {
          const t = text.getBoundingClientRect();
          const within = t.left >= box.left && t.right <= box.right && t.top >= box.top - 1 && t.bottom <= box.bottom + 1;
          if (!within) found.out.push(text.textContent);
        }
        const held = box.left >= edge.left && box.right <= edge.right && box.top >= edge.top && box.bottom <= edge.bottom;
        if (!held) found.cut.push(g.textContent);
        for (let j = i + 1; j < all.length && all[j][0].left < box.right - 0.5; j += 1) {
          const other = all[j][0];
          const meet = other.top < box.bottom - 0.5 && other.bottom > box.top + 0.5;
          if (meet) found.over.push(`${g.textContent} / ${all[j][1].textContent}`);
        }
      });
    }
    return found;
  },

  // Elements with text beyond the window, or wider than what they stand in without a way to scroll there.
  clipped() {
    const found = [];
    for (const e of document.querySelectorAll('h1,h2,h3,p,li,button,label,span,dd,dt,output,b,summary')) {
      if (!e.checkVisibility() || e.closest('.hide,svg')) continue;
      const box = e.getBoundingClientRect();
      const words = `${e.tagName} ${e.textContent.trim()}`;
      if (box.width && (box.right > innerWidth + 0.5 || box.left < -0.5)) found.push(words);
      if (e.scrollWidth > e.clientWidth + 1 && getComputedStyle(e).display !== 'inline') found.push(`wide ${words}`);
    }
    return found;
  },

  // Buttons and boxes that are smaller than a fingertip (WCAG 2.2: 24 px), or cover one another.
  covered() {
    const found = [];
    const all = [...document.querySelectorAll('main button, main label, .bar button')].filter((e) => e.checkVisibility());
    const boxes = all.map((e) => e.getBoundingClientRect());
    boxes.forEach((box, i) => {
      const e = all[i];
      if (box.bottom < 0 || box.top > innerHeight) return;
      if (box.width < 24 || box.height < 24) found.push(`small ${e.textContent}`);
      boxes.forEach((b, j) => {
        const other = all[j];
        if (i === j || e.contains(other) || other.contains(e) || !e.closest('.bar') !== !other.closest('.bar')) return;
        const meet = b.left < box.right - 1 && b.right > box.left + 1 && b.top < box.bottom - 1 && b.bottom > box.top + 1;
        if (meet) found.push(`${e.textContent} / ${other.textContent}`);
      });
    });
    return found;
  },

  // Lay out what the browser would only lay out once it is scrolled to.
  showAll() {
    for (const place of document.querySelectorAll('article.place')) place.style.contentVisibility = 'visible';
  },

  // State, word and shape of each tag.
  looks() {
    return [...document.querySelectorAll('g.p:not(.to)')].map((g) => [
      g.getAttribute('class'),
      g.querySelector('.w').textContent.replace(/^[<\d]+ %/, '%'),
      g.querySelector('.sign').getAttribute('d'),
    ]);
  },

  // Whether the tag that was sought is in the window.
  inView() {
    const box = document.querySelector('.found').getBoundingClientRect();
    return box.top > 0 && box.bottom < innerHeight && box.left >= 0 && box.right <= innerWidth;
  },
})
