// Who is signed in, and what that one may do. The gateway decides; pages only leave out what it would refuse.

const ADDRESS = 'api/v1/session';
const STIR_MS = 60_000;
const LOOK_MS = 15_000;

async function ask() {
  try {
    const answer = await fetch(ADDRESS, { cache: 'no-store', signal: AbortSignal.timeout(5_000) });
    return answer.ok ? await answer.json() : null;
  } catch (unreachable) {
    return null;
  }
}

const nobody = { kind: 'unknown', may: [], locked: false };
let stirred = -Infinity;

export const session = {
  now: (await ask()) ?? nobody,

  /** False once the gateway has said that nobody is signed in here any more. */
  get here() {
    return session.now.kind === 'person';
  },

  may: (action) => session.now.may.includes(action),

  /** Where to sign in, so that this page comes back afterwards. */
  get signIn() {
    const here = `${location.pathname.split('/').pop()}${location.search}`;
    return `sign-in.html${here ? `?to=${encodeURIComponent(here)}` : ''}`;
  },

  async look() {
    session.now = (await ask()) ?? session.now;
    for (const told of listeners) told();
  },

  async signOut() {
    await fetch(ADDRESS, { method: 'DELETE' }).catch(() => {});
    location.assign('sign-in.html');
  },

  onChange(told) {
    listeners.push(told);
  },
};
const listeners = [];

/** Marks a part of the page as doing what one must be allowed to: not offered to others. */
export function needs(part, action) {
  part.dataset.needs = action;
  offer(part);
}

const offer = (part) => part.toggleAttribute('data-refused', !session.may(part.dataset.needs));

/** Offers, all over the page, what may be done now. */
export function offerAll() {
  document.querySelectorAll('[data-needs]').forEach(offer);
}

/** Whoever reads and scrolls is there: the session must not become idle under the hands of its person. */
function stir() {
  if (!session.here || session.now.locked || performance.now() - stirred < STIR_MS) return;
  stirred = performance.now();
  fetch(`${ADDRESS}/active`, { method: 'POST' }).catch(() => {});
}
for (const kind of ['pointerdown', 'keydown', 'wheel']) addEventListener(kind, stir, { passive: true });
setInterval(() => session.look(), LOOK_MS);
