// The page "what needs someone now": takes snapshots, keeps the list still under a pointer, tells how old it is.

import { frame } from './frame.js';
import { arrange, digitOf } from './order.js';
import { createRow, depart, updateRow } from './row.js';
import { by, element, say } from './say.js';
import { pointInTime, span } from './time.js';

const HOLD_IDLE_MS = 30_000;

const list = by('needs');
const rows = new Map();

let snapshot = null;
let shown = [];
let newcomers = new Set();
let known = null;
let owed = { row: null, pixels: 0 };
let pointerInside = false;
let lastStir = -Infinity;

function held() {
  const inside = pointerInside || list.contains(document.activeElement);
  return inside && performance.now() - lastStir < HOLD_IDLE_MS;
}

function stir() {
  lastStir = performance.now();
}

/** The row that somebody points at or is in, while the list is held. */
function anchor() {
  return held() ? list.querySelector(':scope > li:hover') ?? document.activeElement.closest('#needs > li') : null;
}

/** Texts and banners above may grow or shrink, and the row that somebody is about to press still stays put. */
function still(drawing) {
  const row = anchor();
  const before = row?.getBoundingClientRect().top;
  drawing();
  if (!row?.isConnected) return;
  // A browser scrolls by whole pixels: what is left over is owed, so that many small moves do not add up.
  const moved = row.getBoundingClientRect().top - before + (row === owed.row ? owed.pixels : 0);
  const whole = Math.round(moved);
  if (whole) window.scrollBy({ top: whole, behavior: 'instant' });
  owed = { row, pixels: moved - whole };
}

function render() {
  if (snapshot) still(draw);
}

function draw() {
  const now = frame.now();
  renderTitle();
  renderDevices(now);
  renderList(now);
  renderAside(now);
  announce();
}

/** The devices that watch something: neither the gateway itself, nor what is computed, nor a supply or line they share. */
const monitors = () => snapshot.devices.filter(({ map, readings }) => map !== 'gateway' && map !== 'computed'
  && readings.good + readings.uncertain + readings.bad > 0);

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

const linkWords = { silent: 'does not answer', 'not-yet-asked': 'not yet read', released: 'connection released, not read', 'other-product': 'refused: another product answers' };

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
        row = createRow(alarm, stir);
        rows.set(id, row);
      }
      updateRow(row, alarm, now);
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
    const until = layer?.until ? ` Until ${pointInTime(new Date(layer.until), now, frame.utc)} (${span(new Date(layer.until) - now)} left).` : '';
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

const flashing = Object.assign(element('button', 'Stop the flashing'), { id: 'still', type: 'button', ariaPressed: 'false' });
flashing.addEventListener('click', () => {
  const on = document.body.classList.toggle('no-flashing');
  flashing.setAttribute('aria-pressed', String(on));
});
document.querySelector('.settings').append(flashing);

frame.around = still;
frame.start((fresh) => {
  snapshot = fresh;
  draw();
});
