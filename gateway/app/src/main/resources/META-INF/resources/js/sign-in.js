// Signing in. Nothing of what is typed is kept.

import { by, say } from './say.js';

/** Only pages of this gateway: whoever made the link must not lead a person elsewhere. */
function onward() {
  const to = new URLSearchParams(location.search).get('to') ?? '';
  return /^[a-z][a-z-]*\.html(\?[^#\\]*)?$/.test(to) && !to.startsWith('sign-in') ? to : './';
}

async function look() {
  try {
    const answer = await fetch('api/v1/session', { cache: 'no-store', signal: AbortSignal.timeout(5_000) });
    const session = await answer.json();
    say(by('station'), session.station);
    document.title = `${session.station}: sign in`;
    by('notice').hidden = !session.notice;
    say(by('notice'), session.notice);
    by('set-up').hidden = !session.setUp;
    if (session.kind === 'person') {
      if (session.may.includes('view') && !session.locked) {
        location.replace(onward());
        return;
      }
      say(by('outcome'), session.locked ? `${session.name}, nobody did anything here for a while. Sign in again.`
        : `${session.name}, the role ${session.role} may see nothing here. Ask who manages users.`);
    }
  } catch (unreachable) {
    say(by('outcome'), 'The gateway did not answer. Look at the hardwired alarms.');
  }
}

by('sign-in').addEventListener('submit', async (event) => {
  event.preventDefault();
  const { name, password } = event.target.elements;
  const press = event.target.querySelector('button');
  press.disabled = true;
  say(by('outcome'), 'Looking ...');
  try {
    const answer = await fetch('api/v1/session', {
      method: 'POST',
      headers: { 'Content-Type': 'application/json' },
      body: JSON.stringify({ name: name.value, password: password.value }),
      signal: AbortSignal.timeout(20_000),
    });
    if (answer.ok) {
      location.replace(onward());
      return;
    }
    const problem = await answer.json().catch(() => ({}));
    say(by('outcome'), answer.status === 401 ? 'Not signed in: name and password do not fit.'
      : `Not signed in: ${problem.detail ?? `the gateway answered ${answer.status}`}.`);
  } catch (unreachable) {
    say(by('outcome'), 'Not signed in: the gateway did not answer.');
  }
  press.disabled = false;
  password.value = '';
  password.focus();
});

look();
