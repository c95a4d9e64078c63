// The page "what needs someone now": takes snapshots, keeps the list still under a pointer, tells how old it is.

import { Live, acknowledge } from './live.js';
import { arrange, digitOf } from './order.js';
import { createRow, depart, tell, updateRow } from './row.js';
import { dayAndTime, offsetWords, pointInTime, span } from './time.js';

const STALE_AFTER_MS = 8_000;
const HOLD_IDLE_MS = 30_000;

const by = (id) => document.getElementById(id);
const list = by('needs');
const nameField = by('name');
const rows = new Map();

let snapshot = null;
let shown = [];
let newcomers = new Set();
let known = null;
let utc = false;
let stale = false;
let pointerInside = false;
let lastStir = -Infinity;

function say(element, words) {
  if (element.textContent !== words) element.textContent = words;
}

function held() {
  const inside = pointerInside || list.contains(document.activeElement);
  return inside && performance.now() - lastStir < HOLD_IDLE_MS;
}

function stir() {
  lastStir = performance.now();
}

const live = new Live((fresh) => {
  snapshot = fresh;
  render();
});

/** The row that somebody points at or is in, while the list is held. */
function anchor() {
  return held() ? list.querySelector(':scope > li:hover') ?? document.activeElement.closest('#needs > li') : null;
}

/** Draws everything; texts above may grow or shrink, and the row that somebody is about to press still stays put. */
function render() {
  if (!snapshot) return;
  const row = anchor();
  const before = row?.getBoundingClientRect().top;
  draw();
  const moved = row?.isConnected ? row.getBoundingClientRect().top - before : 0;
  if (moved) window.scrollBy({ top: moved, behavior: 'instant' });
}

function draw() {
  const now = new Date();
  say(by('station'), snapshot.station.name);
  say(by('owner'), snapshot.station.owner ?? '');
  renderTitle();
  renderDevices(now);
  renderList(now);
  renderAside(now);
  announce();
}

/** The devices that watch something; the gateway's own entry is not one of them. */
const monitors = () => snapshot.devices.filter((device) => device.map !== 'gateway');

function renderTitle() {
  const open = snapshot.alarms.length;
  const unacknowledged = snapshot.alarms.filter((alarm) => !alarm.acknowledged).length;
  const words = open === 0 ? 'Nothing needs anyone now'
    : `${open} ${open === 1 ? 'alarm needs' : 'alarms need'} someone`
      + (unacknowledged ? `, ${unacknowledged} not acknowledged` : ', all acknowledged');
  say(by('needs-title'), words);
  document.title = `${unacknowledged ? `(${unacknowledged}) ` : ''}${snapshot.station.name}: ${open ? `${open} need someone` : 'nothing needs anyone'}`;
  const nothing = by('nothing');
  nothing.hidden = open !== 0 || list.childElementCount !== 0;
  const devices = monitors();
  const silent = devices.filter((device) => device.link !== 'answering').length;
  say(nothing, silent
    ? `No alarm is open, but ${silent} of ${devices.length} monitors cannot be read: what they would say is not known.`
    : `No alarm is open. ${devices.length} of ${devices.length} monitors answer.`);
}

const linkWords = { silent: 'does not answer', 'not-yet-asked': 'not yet read', 'other-product': 'refused: another product answers' };

function renderDevices(now) {
  const devices = monitors();
  const age = (device) => now - new Date(device.lastAnswer);
  const items = devices.filter((device) => device.link !== 'answering').map((device) =>
    `${device.name} of ${device.assetName}: ${linkWords[device.link] ?? device.link}`
      + (device.lastAnswer ? `, last read ${span(age(device))} ago` : ''));
  const answering = devices.filter((device) => device.link === 'answering');
  const ages = answering.map(age).filter(Number.isFinite);
  const first = `${answering.length} of ${devices.length} monitors answer`
    + (ages.length ? `, oldest data ${span(Math.max(...ages))} old` : '');
  const lines = [first, ...items];
  const holder = by('devices');
  while (holder.childElementCount > lines.length) holder.lastElementChild.remove();
  lines.forEach((words, index) => {
    const item = holder.children[index] ?? holder.appendChild(document.createElement('li'));
    item.classList.toggle('silent', index > 0);
    say(item, words);
  });
}

function renderList(now) {
  const alarms = new Map(snapshot.alarms.map((alarm) => [alarm.alarm, alarm]));
  const plan = arrange(shown, snapshot.alarms, held(), newcomers);
  shown = plan.ids;
  newcomers = plan.newcomers;
  for (const id of shown) {
    const alarm = alarms.get(id);
    let row = rows.get(id);
    if (alarm) {
      if (!row) {
        row = createRow(alarm, onAcknowledge);
        rows.set(id, row);
      }
      updateRow(row, alarm, now, utc);
    } else {
      depart(row);
    }
  }
  for (const [id, row] of rows) {
    if (!shown.includes(id)) {
      row.remove();
      rows.delete(id);
    }
  }
  shown.forEach((id, index) => {
    const row = rows.get(id);
    if (list.children[index] !== row) list.insertBefore(row, list.children[index] ?? null);
  });
  const words = !plan.waiting ? ''
    : `List held still.${newcomers.size ? ` ${newcomers.size} new at the bottom.` : ''}`;
  say(by('order-words'), words);
  by('order-now').hidden = !plan.waiting;
  by('nothing').hidden = snapshot.alarms.length !== 0 || list.childElementCount !== 0;
}

function renderAside(now) {
  const asideWords = (alarm) => {
    const layer = alarm.outOfService ?? alarm.shelved;
    const until = layer?.until ? ` Until ${pointInTime(new Date(layer.until), now, utc)} (${span(new Date(layer.until) - now)} left).` : '';
    const who = layer?.by ? ` By ${layer.by.name}.` : '';
    const why = layer?.reason ? ` Reason: ${layer.reason}.` : '';
    return `${alarm.headline}. ${alarm.active ? 'Its condition holds now.' : 'Its condition does not hold.'}${why}${who}${until}`;
  };
  const fill = (id, alarms) => {
    const holder = by(id);
    say(holder.querySelector('.count'), String(alarms.length));
    const items = alarms.map(asideWords);
    const target = holder.querySelector('ul');
    while (target.childElementCount > items.length) target.lastElementChild.remove();
    items.forEach((words, index) => {
      const item = target.children[index] ?? target.appendChild(document.createElement('li'));
      say(item, words);
    });
  };
  const { shelved, suppressed, outOfService } = snapshot.setAside;
  say(by('aside-counts'), `${shelved.length} shelved, ${suppressed.length} suppressed by design, ${outOfService.length} out of service`);
  fill('shelved', shelved);
  fill('suppressed', suppressed);
  fill('out-of-service', outOfService);
}

/** Tells a screen reader about newcomers, without taking the focus. */
function announce() {
  const unacknowledged = snapshot.alarms.filter((alarm) => !alarm.acknowledged);
  if (known) {
    const fresh = unacknowledged.filter((alarm) => !known.has(`${alarm.alarm} ${alarm.occurrence}`));
    if (fresh.length) {
      say(by('announcer'), fresh.length > 3 ? `${fresh.length} new alarms`
        : fresh.map((alarm) => `New alarm, priority ${digitOf(alarm.priority)}: ${alarm.headline}`).join('. '));
    }
  }
  known = new Set(snapshot.alarms.map((alarm) => `${alarm.alarm} ${alarm.occurrence}`));
}

async function onAcknowledge(row) {
  const name = nameField.value.trim();
  if (!name) {
    nameField.setAttribute('aria-invalid', 'true');
    say(by('name-help'), 'Give your name first, then press Acknowledge again.');
    nameField.focus();
    return;
  }
  const button = row.querySelector('.acknowledge');
  const hadFocus = document.activeElement === button;
  button.disabled = true;
  const outcome = await acknowledge(row.dataset.alarm, row.dataset.event, name);
  button.disabled = false;
  tell(row, outcome.words, !outcome.done);
  if (hadFocus) (outcome.done ? row.querySelector('.headline') : button).focus();
  stir();
  live.refresh();
}

function tick() {
  const now = new Date();
  say(by('clock'), dayAndTime(now, utc));
  const quiet = live.silence;
  const nowStale = quiet > STALE_AFTER_MS;
  document.body.classList.toggle('is-stale', nowStale);
  const banner = by('stale');
  if (nowStale) {
    say(by('stale-since'), live.heardOnce
      ? `No word from the gateway since ${pointInTime(live.lastWordAt, now, utc)} ${offsetWords(now, utc)}, ${span(quiet)} ago.`
      : `The gateway has not answered yet (${span(quiet)}).`);
    say(by('link'), `Connection lost ${span(quiet)} ago`);
  } else {
    say(by('link'), live.heardOnce ? 'Live' : 'Waiting for the gateway');
  }
  if (nowStale !== stale) {
    stale = nowStale;
    banner.hidden = !stale;
  }
  render();
}

list.addEventListener('pointerover', (event) => {
  pointerInside = event.pointerType === 'mouse';
  stir();
});
list.addEventListener('pointerleave', () => {
  pointerInside = false;
  render();
});
for (const kind of ['pointermove', 'pointerdown', 'keydown', 'focusin']) list.addEventListener(kind, stir);
list.addEventListener('focusout', () => setTimeout(render));
by('order-now').addEventListener('click', () => {
  pointerInside = false;
  lastStir = -Infinity;
  render();
});

nameField.value = sessionStorage.getItem('oilbird.name') ?? '';
nameField.addEventListener('input', () => {
  sessionStorage.setItem('oilbird.name', nameField.value.trim());
  if (nameField.value.trim()) {
    nameField.removeAttribute('aria-invalid');
    say(by('name-help'), 'Kept in this window only. It is stored with every acknowledgement.');
  }
});
by('identity').addEventListener('submit', (event) => event.preventDefault());

by('zone').addEventListener('click', () => {
  utc = !utc;
  by('zone').setAttribute('aria-pressed', String(utc));
  tick();
});
by('still').addEventListener('click', () => {
  const on = document.body.classList.toggle('no-flashing');
  by('still').setAttribute('aria-pressed', String(on));
});

let openedForPaper = [];
window.addEventListener('beforeprint', () => {
  openedForPaper = [...document.querySelectorAll('main details:not([open])')];
  for (const details of openedForPaper) details.open = true;
});
window.addEventListener('afterprint', () => {
  for (const details of openedForPaper) details.open = false;
});

live.start();
tick();
setInterval(tick, 1_000);
