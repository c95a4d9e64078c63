// What every page has: how old it is, who is at it, keep-away, maintenance and points under test.

import { endMaintenance, endTest, releaseKeepAway } from './ask.js';
import { Live } from './live.js';
import { fragment, template } from './parts.js';
import { by, element, keyed, say } from './say.js';
import { needs, offerAll, session } from './session.js';
import { dayAndTime, offsetWords, pointInTime, span } from './time.js';

const STALE_AFTER_MS = 8_000;

document.querySelector('main').before(fragment('frame-top'));
document.querySelector('main').after(fragment('frame-bottom'));
document.querySelector(`nav a[href="${document.body.dataset.nav}"]`)?.setAttribute('aria-current', 'page');

/** What the gateway last said of its time, and when by a clock of ours that never steps. */
let heard = null;

export const frame = {
  utc: false,
  snapshot: null,
  live: null,

  /** Does the drawing; a page that keeps something in its place while a banner comes or goes puts its own here. */
  around: (drawing) => drawing(),

  /** The name of who is signed in; empty, and said in the header, where nobody is or where somebody was idle. */
  person() {
    if (session.here && !session.now.locked) return session.now.name;
    by('who').querySelector('a').focus();
    return '';
  },

  /**
   * Now, by the gateway's clock: every time on the page is its, and what is left of a time may not hang on how a
   * desk's clock is set.
   */
  now() {
    return heard ? new Date(heard.asOf + performance.now() - heard.at) : new Date();
  },

  when(iso, now = frame.now()) {
    return pointInTime(new Date(iso), now, frame.utc);
  },

  /** @param draw called with the newest picture of the station, and once a second. */
  start(draw) {
    frame.live = new Live((fresh) => {
      frame.snapshot = fresh;
      const asOf = new Date(fresh.asOf).getTime();
      if (Number.isFinite(asOf)) heard = { asOf, at: performance.now() };
      drawAll();
    });
    let stale = false;
    function drawAll() {
      if (!frame.snapshot) return;
      const now = frame.now();
      frame.around(() => {
        say(by('station'), frame.snapshot.station.name);
        say(by('owner'), frame.snapshot.station.owner ?? '');
        banners(now);
        draw(frame.snapshot, now);
      });
    }
    function tick() {
      const now = frame.now();
      say(by('clock'), dayAndTime(now, frame.utc));
      const quiet = frame.live.silence;
      const out = session.now.kind === 'nobody';
      const nowStale = out || quiet > STALE_AFTER_MS;
      document.body.classList.toggle('is-stale', nowStale);
      if (nowStale) {
        say(by('stale-since'), out ? 'Nobody is signed in here any more: sign in to see what is so now.' : frame.live.heardOnce
          ? `No word from the gateway since ${pointInTime(new Date(now - quiet), now, frame.utc)} ${offsetWords(now, frame.utc)}, ${span(quiet)} ago.`
          : `The gateway has not answered yet (${span(quiet)}).`);
        say(by('link'), out ? 'Signed out' : `Connection lost ${span(quiet)} ago`);
      } else {
        say(by('link'), frame.live.heardOnce ? 'Live' : 'Waiting for the gateway');
      }
      if (nowStale !== stale) {
        stale = nowStale;
        by('stale').hidden = !stale;
      }
      drawAll();
    }
    by('zone').addEventListener('click', () => {
      frame.utc = !frame.utc;
      by('zone').setAttribute('aria-pressed', String(frame.utc));
      tick();
    });
    frame.live.start();
    tick();
    setInterval(tick, 1_000);
  },

  /**
   * The same for a page that has something of its own to read.
   *
   * @param read called with every event of the station, and at the latest after so many milliseconds.
   */
  follow(read, atLatestMs, draw = () => {}) {
    let seen = -1;
    let readAt = 0;
    frame.start((snapshot, now) => {
      if (snapshot.newestEvent !== seen || performance.now() - readAt > atLatestMs) {
        seen = snapshot.newestEvent;
        readAt = performance.now();
        read();
      }
      draw(snapshot, now);
    });
  },
};

const who = by('who');

function drawWho() {
  const { kind, name, role, locked } = session.now;
  const words = kind === 'person' ? element('span', 'Signed in: ') : element('span', kind === 'nobody' ? 'Nobody is signed in' : '');
  if (kind === 'person') words.append(element('strong', name), `, ${role}${locked ? ', idle: looking only' : ''}`);
  const parts = [words];
  if (kind === 'person') {
    const out = Object.assign(element('button', 'Sign out'), { type: 'button' });
    out.addEventListener('click', () => session.signOut());
    parts.push(out);
  }
  if (kind !== 'person' || locked) {
    parts.unshift(Object.assign(element('a', locked ? 'Sign in again' : 'Sign in'), { href: session.signIn }));
  }
  who.replaceChildren(...parts);
  offerAll();
}
let drawn = '';
function drawWhoIfChanged() {
  const now = JSON.stringify(session.now);
  if (now === drawn) return;
  drawn = now;
  drawWho();
}
session.onChange(drawWhoIfChanged);
drawWhoIfChanged();

let openedForPaper = [];
window.addEventListener('beforeprint', () => {
  openedForPaper = [...document.querySelectorAll('main details:not([open]):not(.act-form)')];
  for (const details of openedForPaper) details.open = true;
});
window.addEventListener('afterprint', () => {
  for (const details of openedForPaper) details.open = false;
});

function banners(now) {
  const { keepAway = [], maintenance, tests } = frame.snapshot;
  list('keep-away', keepAway, (item) => item.asset, keepAwayRow, (row, item) => {
    say(row.querySelector('.words'), `Keep away from ${item.assetName}`);
    say(row.querySelector('.detail'), `${sentence(item.reasons.join('; '))} Since ${frame.when(item.since, now)}. Every check near it is withdrawn until the control room releases it.`);
  });
  list('maintenance', maintenance, (item) => item.of, maintenanceRow, (row, item) => {
    const left = new Date(item.until) - now;
    say(row.querySelector('.words'), `In maintenance: ${item.name}`);
    say(row.querySelector('.detail'), `${sentence(item.reason)} Permit ${item.permit}, ${item.by.name}, `
      + (item.timeOver || left < 0
        ? `time over since ${frame.when(item.until, now)}: it goes on until somebody ends it.`
        : `until ${frame.when(item.until, now)} (${span(left)} left).`));
  });
  list('tests', tests, (item) => `${item.kind} ${item.point}`, testRow, (row, item) => {
    say(row.querySelector('.words'), `Under test: ${item.label}`);
    say(row.querySelector('.detail'), `Sent to the control room as ${item.forcedTo}, whatever the truth is. ${item.by.name}, `
      + `until ${frame.when(item.until, now)} (${span(new Date(item.until) - now)} left).`);
  });
}

const sentence = (words) => (words ? `${words[0].toUpperCase()}${words.slice(1)}${words.endsWith('.') ? '' : '.'}` : '');

function list(id, items, keyOf, create, update) {
  const holder = by(id);
  holder.hidden = items.length === 0;
  keyed(holder, items, keyOf, create, update);
}

/** A row with a folded form: its one button does the thing in question, and never on the first press. */
function row(action, summary, button, wantsWords, act) {
  const made = template('banner-row');
  needs(made.querySelector('details'), action);
  say(made.querySelector('summary'), summary);
  const press = made.querySelector('button');
  say(press, button);
  const words = made.querySelector('input');
  const label = made.querySelector('label');
  label.hidden = !wantsWords;
  if (wantsWords) label.firstElementChild.textContent = wantsWords;
  made.querySelector('form').addEventListener('submit', async (event) => {
    event.preventDefault();
    const name = frame.person();
    if (!name) return;
    press.disabled = true;
    const outcome = await act(words.value.trim(), name);
    press.disabled = false;
    say(made.querySelector('.outcome'), outcome.words);
    frame.live.refresh();
  });
  return made;
}

const keepAwayRow = (item) =>
  row('release-keep-away', 'Release it', 'Release for the control room', 'Why it is released', (words, name) => releaseKeepAway(item.asset, words, name));

const maintenanceRow = (item) =>
  row('maintain', 'End it', 'End maintenance', 'Comment', (words) => endMaintenance(item.of, words));

const testRow = (item) => {
  const made = row('test-points', 'End it', 'End the test', '', () => endTest(item.kind, item.point));
  const sheet = element('a', 'Sheet for both ends');
  sheet.href = 'tests.html';
  made.querySelector('form').append(sheet);
  return made;
};
