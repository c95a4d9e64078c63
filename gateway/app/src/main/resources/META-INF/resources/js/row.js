// One alarm as one row. Text goes in as text, never as markup.

import { acknowledge, comment, confirm, read } from './ask.js';
import { checkOf, fact, listInto, withdrawn } from './check.js';
import { frame } from './frame.js';
import { mark } from './mark.js';
import { digitOf } from './order.js';
import { template } from './parts.js';
import { element, say } from './say.js';
import { needs } from './session.js';
import { durationOf, pointInTime, span } from './time.js';

const stateWords = {
  NORM: 'Gone, acknowledged',
  UNACK: 'New, not acknowledged',
  ACKED: 'Acknowledged, still there',
  RTNUN: 'Gone, not acknowledged',
  LTUNK: 'Gone but latched, not acknowledged',
  LTACK: 'Gone but latched, acknowledged',
};
const troubleWords = {
  transformer: 'Transformer trouble',
  monitor: 'Monitor trouble, not transformer',
  communication: 'Communication trouble, not transformer',
  gateway: 'Gateway trouble, not transformer',
};
const priorityWords = { critical: 'Critical', major: 'Major', minor: 'Minor', warning: 'Warning' };

/** What must not be taken at face value, and all that makes it so; readings of the same causes in one line. */
function doubtsByCause(doubts) {
  const readings = new Map();
  for (const { reading, label, becauseText, worthless } of doubts) {
    const known = readings.get(reading) ?? { label, causes: [], worthless: false };
    known.causes.push(becauseText);
    known.worthless ||= worthless;
    readings.set(reading, known);
  }
  const lines = new Map();
  for (const { label, causes, worthless } of readings.values()) {
    const why = `${worthless ? 'worthless' : 'doubtful'}: ${causes.join('; ')}`;
    lines.set(why, [...(lines.get(why) ?? []), label]);
  }
  return [...lines].map(([why, labels]) => `${labels.join(', ')}: ${why}`);
}

/** @param stir told that somebody is at work in the row. */
export function createRow(alarm, stir = () => {}) {
  const row = template('alarm-row');
  row.dataset.alarm = alarm.alarm;
  needs(row.querySelector('.acknowledge'), 'acknowledge');
  needs(row.querySelector('.confirm'), 'confirm');
  needs(row.querySelector('.comment'), 'comment');
  row.querySelector('.acknowledge').addEventListener('click', () => onButton(row, '.acknowledge', acknowledge, stir));
  row.querySelector('.confirm').addEventListener('click', () => onButton(row, '.confirm', confirm, stir));
  row.querySelector('.comment form').addEventListener('submit', (event) => {
    event.preventDefault();
    onComment(row, stir);
  });
  row.querySelector('.history').addEventListener('toggle', () => showHistory(row));
  return row;
}

async function onButton(row, which, act, stir) {
  const name = frame.person();
  if (!name) return;
  const button = row.querySelector(which);
  const hadFocus = document.activeElement === button;
  button.disabled = true;
  const outcome = await act(row.dataset.alarm, row.dataset.event, name);
  button.disabled = false;
  tell(row, outcome.words, !outcome.done);
  if (hadFocus) (outcome.done ? row.querySelector('.headline') : button).focus();
  stir();
  frame.live.refresh();
}

async function onComment(row, stir) {
  const field = row.querySelector('.comment textarea');
  const words = field.value.trim();
  if (!words) {
    field.focus();
    return;
  }
  const name = frame.person();
  if (!name) return;
  const outcome = await comment(row.dataset.alarm, words, name);
  tell(row, outcome.words, !outcome.done);
  if (outcome.done) {
    field.value = '';
    row.querySelector('.comment').open = false;
    row.querySelector('.comment summary').focus();
    if (row.querySelector('.history').open) showHistory(row);
  }
  stir();
}

const kindWords = {
  raised: 'Raised', returned: 'Back to normal', acknowledged: 'Acknowledged', 'auto-acknowledged': 'Acknowledged by rule', confirmed: 'Confirmed done',
  're-alarmed': 'Raised again', escalated: 'More urgent', eased: 'Less urgent', reset: 'Latch reset', shelved: 'Shelved', unshelved: 'Unshelved',
  'auto-unshelved': 'Shelving time over', suppressed: 'Suppressed by design', unsuppressed: 'No longer suppressed',
  'removed-from-service': 'Out of service', 'placed-in-service': 'In service', 'service-time-over': 'Service time over',
  'quality-changed': 'Quality changed', voided: 'Void', 'test-forced': 'Forced by a test', 'test-ended': 'Test ended', commented: 'Comment', refused: 'Refused',
};

async function showHistory(row) {
  const details = row.querySelector('.history');
  if (!details.open) return;
  const list = details.querySelector('ol');
  const { form, problem } = await read(`api/v1/alarms/${row.dataset.alarm.split('/').map(encodeURIComponent).join('/')}/events?limit=20`);
  const lines = problem ? [`It cannot be shown: ${problem}`]
    : form.events.map((event) => `${frame.when(event.at)} ${kindWords[event.kind] ?? event.kind}`
      + (event.by ? ` by ${event.by.name}` : '') + (event.text ? `: ${event.text}` : ''));
  list.replaceChildren(...lines.map((words) => element('li', words)));
}

export function updateRow(row, alarm, now) {
  row.dataset.event = alarm.lastEvent;
  row.dataset.state = alarm.state;
  row.classList.toggle('unacknowledged', !alarm.acknowledged);
  row.classList.remove('departed');

  const look = [alarm.priority, alarm.state, alarm.latched, alarm.quality].join(' ');
  const holder = row.querySelector('.mark');
  if (holder.dataset.look !== look) {
    holder.dataset.look = look;
    holder.replaceChildren(mark(alarm));
  }
  say(row.querySelector('.priority'), `Priority ${digitOf(alarm.priority)}, ${priorityWords[alarm.priority] ?? alarm.priority}`);
  const waits = alarm.acknowledged && alarm.confirmed === false;
  say(row.querySelector('.state'), (stateWords[alarm.state] ?? alarm.state) + (waits ? ', to be confirmed as done' : ''));
  row.querySelector('.unread').hidden = alarm.quality !== 'bad';
  say(row.querySelector('.headline'), alarm.headline);
  say(row.querySelector('.sentence'), alarm.sentence);
  say(row.querySelector('.trouble'), troubleWords[alarm.trouble] ?? '');

  const doubtful = !alarm.readingsTrusted;
  row.querySelector('.trust').classList.toggle('doubtful-words', doubtful);
  say(row.querySelector('.trust .glyph'), doubtful ? '?' : '✓');
  say(row.querySelector('.trust .words'), alarm.trust);
  const doubts = row.querySelector('.doubts');
  listInto(doubts, doubtsByCause(alarm.doubtfulReadings));
  row.querySelector('.doubts-part').hidden = alarm.doubtfulReadings.length === 0;

  const limit = durationOf(alarm.within);
  const due = Date.parse(alarm.actBy);
  const late = Number.isFinite(due) && now.getTime() > due;
  fact(row, '.call', !alarm.active || !alarm.call ? '' : `the ${alarm.call}`);
  fact(row, '.within', !alarm.active || Number.isNaN(limit) ? ''
    : Number.isFinite(due)
      ? `${pointInTime(new Date(due), now, frame.utc)} (${late ? 'time is over' : `${span(due - now)} left`})`
      : `within ${span(limit)}`);
  fact(row, '.response', alarm.active ? alarm.response : '');
  const since = new Date(alarm.since);
  say(row.querySelector('.since'), `since ${pointInTime(since, now, frame.utc)} (${span(now - since)})${alarm.timeTrusted ? '' : ', clock not trusted'}`);
  row.querySelector('.hardwired').hidden = !alarm.alsoHardwired;
  annotate(row, alarm);

  const shown = JSON.stringify([alarm.firstChecks, alarm.causes, alarm.consequence]);
  const checks = row.querySelector('.checks');
  if (checks.dataset.shows !== shown) {
    checks.dataset.shows = shown;
    checks.querySelector('.check-list').replaceChildren(...alarm.firstChecks.map(checkOf));
    listInto(checks.querySelector('.causes'), alarm.causes);
    say(checks.querySelector('.standing'), alarm.standingNote);
    say(checks.querySelector('.trouble-text'), alarm.troubleText);
    say(checks.querySelector('.consequence'), alarm.consequence);
  }
  say(row.querySelector('.identity-line'), `Alarm ${alarm.alarm}, occurrence ${alarm.occurrence}, event ${alarm.lastEvent}`);

  const button = row.querySelector('.acknowledge');
  button.hidden = alarm.acknowledged;
  button.setAttribute('aria-label', `Acknowledge: ${alarm.headline}`);
  const confirmation = row.querySelector('.confirm');
  confirmation.hidden = !waits;
  confirmation.setAttribute('aria-label', `Confirm that it is done: ${alarm.headline}`);
}

/** What stands beside the alarm: its asset, maintenance, a test, the diagnosis that it belongs to. */
function annotate(row, alarm) {
  const asset = row.querySelector('.asset-link');
  asset.href = `asset.html?id=${encodeURIComponent(alarm.asset)}`;
  say(asset, `All of ${alarm.assetName}`);
  const likely = row.querySelector('.likely');
  likely.hidden = !alarm.likelyCause;
  if (alarm.likelyCause) {
    say(likely.querySelector('.words'), alarm.likelyCause.text);
    likely.querySelector('a').href = `diagnosis.html?id=${encodeURIComponent(alarm.likelyCause.diagnosis)}`;
  }
  const standing = row.querySelector('.standing-words');
  const words = (alarm.test ? [`Under test: the control room is sent ${alarm.test.forcedTo}.`] : [])
    .concat(alarm.maintenance ? [`${alarm.maintenance.name} is in maintenance, permit ${alarm.maintenance.permit}.`] : [])
    .concat(alarm.withdrawnChecks ? [withdrawn(alarm.withdrawnChecks)] : []);
  standing.hidden = words.length === 0;
  say(standing, words.join(' '));
}

/** The alarm is back to normal; the row keeps its place until the order is free again. */
export function depart(row) {
  if (row.classList.contains('departed')) return;
  row.classList.add('departed');
  row.classList.remove('unacknowledged');
  say(row.querySelector('.state'), 'Back to normal');
  row.querySelector('.mark').replaceChildren();
  delete row.querySelector('.mark').dataset.look;
  row.querySelector('.acknowledge').hidden = true;
  row.querySelector('.confirm').hidden = true;
}

function tell(row, words, refused) {
  const outcome = row.querySelector('.outcome');
  outcome.classList.toggle('refused', Boolean(refused));
  say(outcome, words);
}
