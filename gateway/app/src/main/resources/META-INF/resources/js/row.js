// One alarm as one row. Text goes in as text, never as markup.

import { mark } from './mark.js';
import { digitOf } from './order.js';
import { durationOf, pointInTime, span } from './time.js';

const stateWords = {
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

const template = (id) => document.getElementById(id).content.firstElementChild.cloneNode(true);

function say(element, words) {
  if (element.textContent !== words) element.textContent = words;
}

function listInto(list, items) {
  const wanted = JSON.stringify(items);
  if (list.dataset.shows === wanted) return;
  list.dataset.shows = wanted;
  list.replaceChildren(...items.map((words) => {
    const item = document.createElement('li');
    item.textContent = words;
    return item;
  }));
}

function checkOf(check) {
  const item = template('check');
  say(item.querySelector('.do'), check.do);
  say(item.querySelector('.exposure .steps'), '■'.repeat(check.exposure + 1) + '□'.repeat(4 - check.exposure));
  say(item.querySelector('.exposure .words'), `Exposure ${check.exposure} of 4: ${check.exposureText}`);
  const cautions = item.querySelector('.cautions');
  listInto(cautions, check.cautions.map((caution) => caution.text));
  cautions.hidden = check.cautions.length === 0;
  fact(item, '.accept', check.accept);
  fact(item, '.minutes', check.minutes ? `${check.minutes} min` : '');
  fact(item, '.tools', check.tools.join(', '));
  const findings = item.querySelector('.findings');
  listInto(findings, check.outcomes.map((outcome) => `${outcome.found}: ${outcome.means}`));
  findings.hidden = check.outcomes.length === 0;
  return item;
}

function fact(row, selector, words) {
  const pair = row.querySelector(selector);
  pair.hidden = !words;
  say(pair.querySelector('dd'), words ?? '');
}

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

export function createRow(alarm, onAcknowledge) {
  const row = template('alarm-row');
  row.dataset.alarm = alarm.alarm;
  row.querySelector('.acknowledge').addEventListener('click', () => onAcknowledge(row));
  return row;
}

export function updateRow(row, alarm, now, utc) {
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
  say(row.querySelector('.state'), stateWords[alarm.state] ?? alarm.state);
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
      ? `${pointInTime(new Date(due), now, utc)} (${late ? 'time is over' : `${span(due - now)} left`})`
      : `within ${span(limit)}`);
  fact(row, '.response', alarm.active ? alarm.response : '');
  const since = new Date(alarm.since);
  say(row.querySelector('.since'), `since ${pointInTime(since, now, utc)} (${span(now - since)})${alarm.timeTrusted ? '' : ', clock not trusted'}`);
  row.querySelector('.hardwired').hidden = !alarm.alsoHardwired;

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
}

export function tell(row, words, refused) {
  const outcome = row.querySelector('.outcome');
  outcome.classList.toggle('refused', Boolean(refused));
  say(outcome, words);
}
