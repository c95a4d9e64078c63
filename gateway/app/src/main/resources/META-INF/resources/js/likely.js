// A cause in a list of causes, with how likely it is.

import { percent } from './percent.js';
import { element, say } from './say.js';

export function causeRow() {
  const row = element('li');
  const bar = element('meter');
  bar.min = 0;
  bar.max = 1;
  row.append(element('p', undefined, 'says'), bar, element('p', undefined, 'likely-words'));
  return row;
}

export function drawCause(row, cause) {
  say(row.querySelector('.says'), cause.says);
  const bar = row.querySelector('meter');
  bar.value = cause.probability;
  bar.setAttribute('aria-label', `How likely: ${cause.likelihood}`);
  say(row.querySelector('.likely-words'), `${cause.likelihood}, ${percent(cause.probability)}`);
}
