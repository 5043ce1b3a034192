'use strict';
// Forms that change something: sent with the token, which a form of another site does not know.
const token = document.getElementById('token');
for (const form of document.querySelectorAll('form[data-post]')) {
  form.addEventListener('submit', async (e) => {
    e.preventDefault();
    const say = form.querySelector('[role=alert]');
    const button = form.querySelector('button');
    button.disabled = true;
    say.hidden = true;
    let to = '';
    let problems = ['The computer does not answer: is hangplan serve still running?'];
    try {
      const answer = await fetch(form.dataset.post, {
        method: 'POST',
        headers: {'Content-Type': 'application/json', 'X-Hangplan-Token': token.dataset.token},
        body: JSON.stringify(Object.fromEntries(new FormData(form))),
      });
      const found = await answer.json();
      if (answer.ok && !found.problems?.length) {
        location.assign(found.to || location.href);
        return;
      }
      problems = found.problems;
      to = found.to;
    } catch { /* told below */ }
    say.textContent = problems.join(' ');
    if (to) say.append(' ', Object.assign(document.createElement('a'), {href: to, textContent: 'Go there.'}));
    say.hidden = false;
    button.disabled = Boolean(to);
  });
}
