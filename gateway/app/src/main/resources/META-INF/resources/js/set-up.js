// The first user, with the code that the gateway printed at its start.

import { by, say } from './say.js';

async function look() {
  try {
    const answer = await fetch('api/v1/session', { cache: 'no-store', signal: AbortSignal.timeout(5_000) });
    const session = await answer.json();
    say(by('station'), session.station);
    by('set-up').hidden = !session.setUp;
    by('not-awaited').hidden = session.setUp;
  } catch (unreachable) {
    say(by('outcome'), 'The gateway did not answer.');
  }
}

by('set-up').addEventListener('submit', async (event) => {
  event.preventDefault();
  const { code, name, password, again } = event.target.elements;
  if (password.value !== again.value) {
    say(by('outcome'), 'The two passwords differ.');
    again.focus();
    return;
  }
  const press = event.target.querySelector('button');
  press.disabled = true;
  try {
    const answer = await fetch('api/v1/set-up', {
      method: 'POST',
      headers: { 'Content-Type': 'application/json' },
      body: JSON.stringify({ code: code.value, name: name.value, password: password.value }),
      signal: AbortSignal.timeout(20_000),
    });
    if (answer.ok) {
      location.replace('./');
      return;
    }
    const problem = await answer.json().catch(() => ({}));
    say(by('outcome'), answer.status === 401 ? 'Not done: the code does not fit.'
      : `Not done: ${problem.detail ?? `the gateway answered ${answer.status}`}.`);
  } catch (unreachable) {
    say(by('outcome'), 'Not done: the gateway did not answer.');
  }
  press.disabled = false;
});

look();
