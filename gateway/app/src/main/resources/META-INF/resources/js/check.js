// One first check with its cautions, and lists of facts.

import { template } from './parts.js';
import { element, say } from './say.js';

export function listInto(list, items) {
  const wanted = JSON.stringify(items);
  if (list.dataset.shows === wanted) return;
  list.dataset.shows = wanted;
  list.replaceChildren(...items.map((words) => element('li', words)));
}

export function checkOf(check) {
  const item = template('check');
  say(item.querySelector('.do'), check.do);
  say(item.querySelector('.exposure .steps'), '■'.repeat(check.exposure + 1) + '□'.repeat(4 - check.exposure));
  say(item.querySelector('.exposure .words'), `Exposure ${check.exposure} of 4: ${check.exposureText}`);
  const cautions = item.querySelector('.cautions');
  listInto(cautions, check.cautions.map((caution) => caution.text));
  cautions.hidden = check.cautions.length === 0;
  fact(item, '.where', check.where);
  fact(item, '.accept', check.accept);
  fact(item, '.authorisation', check.authorisation);
  fact(item, '.minutes', check.minutes ? `${check.minutes} min` : '');
  fact(item, '.tools', check.tools.join(', '));
  const findings = item.querySelector('.findings');
  listInto(findings, check.outcomes.map((outcome) => `${outcome.found}: ${outcome.means}`));
  findings.hidden = check.outcomes.length === 0;
  return item;
}

export function fact(row, selector, words) {
  const pair = row.querySelector(selector);
  pair.hidden = !words;
  say(pair.querySelector('dd'), words ?? '');
}

export const withdrawn = (checks) =>
  `${checks} first ${checks === 1 ? 'check is' : 'checks are'} withdrawn while people are to keep away.`;
