// One step of a guided fault-finding: its cautions before anything else, then what was found.

import { listInto } from './check.js';
import { template } from './parts.js';
import { element, say } from './say.js';

function fact(part, selector, words) {
  const pair = part.querySelector(selector);
  pair.hidden = !words;
  say(pair.querySelector('dd'), words ?? '');
}

/** What card and sheet have in common: exposure, cautions, what to do, where, accepted, minutes, tools. */
export function head(part, check) {
  say(part.querySelector('.of'), `${check.deviceName} of ${check.assetName}`);
  say(part.querySelector('.exposure .steps'), '■'.repeat(check.exposure + 1) + '□'.repeat(4 - check.exposure));
  say(part.querySelector('.exposure .words'), `Exposure ${check.exposure} of 4: ${check.exposureText}`);
  const cautions = part.querySelector('.cautions');
  listInto(cautions, check.cautions.map((caution) => caution.text));
  cautions.hidden = check.cautions.length === 0;
  say(part.querySelector('.do'), check.do);
  fact(part, '.where', check.where);
  fact(part, '.accept', check.measure ? check.measure.accepted ?? check.measure.unknown : check.accept);
  fact(part, '.load', check.measure?.load);
  fact(part, '.minutes', check.minutes ? `${check.minutes} min` : '');
  fact(part, '.tools', check.tools.join(', '));
  return part;
}

/** An ISO time of a field for local date and time; undefined where it is empty. */
export const timeOf = (field) => (field.value ? new Date(field.value).toISOString() : undefined);

const big = (words) => {
  const button = element('button', words, 'big');
  button.type = 'button';
  return button;
};

/**
 * @param says gives the words of a cause.
 * @param tell called with what the person says and its words.
 */
export function stepCard(check, says, tell) {
  const card = head(template('step'), check);
  const missing = check.confirm.length > 0 || check.authorisationMissing;
  const confirm = card.querySelector('.confirm');
  confirm.hidden = check.confirm.length === 0;
  for (const each of check.confirm) {
    const item = element('li');
    const button = big(`Confirm: ${each.text}`);
    if (each.preparation === 'words-saved') {
      // Where they are kept belongs to it.
      const label = element('label', 'Where the status words are kept ');
      const field = element('input');
      field.type = 'text';
      field.maxLength = 200;
      label.append(field);
      item.append(label);
      button.textContent = 'Record that the status words are saved';
      button.addEventListener('click', () => (field.value.trim()
        ? tell({ does: 'words-saved', words: field.value.trim() }, 'Status words saved') : field.focus()));
    } else {
      button.addEventListener('click', () => tell({ does: 'prepared', check: check.check, preparation: each.preparation }, `Confirmed: ${each.text}`));
    }
    item.append(button);
    confirm.querySelector('ul').append(item);
  }
  const permit = card.querySelector('.permit');
  permit.hidden = !check.authorisationMissing;
  say(permit.querySelector('.asked'), `The owner asks for: ${check.authorisation ?? ''}. Given by, and number`);
  permit.addEventListener('submit', (event) => {
    event.preventDefault();
    tell({ does: 'authorised', check: check.check, words: permit.elements.words.value.trim() }, 'Authorisation');
  });

  const form = card.querySelector('.answer');
  form.addEventListener('submit', (event) => event.preventDefault());
  const fields = form.elements;
  const extras = () => ({ words: fields.note.value.trim() || undefined, doneAt: timeOf(fields.doneAt) });
  const { measure } = check;
  const part = form.querySelector('.measure');
  part.hidden = !measure;
  if (measure) {
    say(part.querySelector('.quantity'), `${measure.quantity}, in ${measure.unit}`);
    fields.written.placeholder = `for example 12.5 ${measure.unit}`;
    say(part.querySelector('.value-help'), `Number and unit, with point or comma: 12.5 ${measure.unit} or 12,5 ${measure.unit}.`);
    for (const name of ['before', 'after']) part.querySelector(`.pick.${name}`).hidden = !measure.energised;
    part.querySelector('.record-value').addEventListener('click', () => {
      const written = fields.written.value.trim();
      if (!written) {
        fields.written.focus();
        return;
      }
      tell({ does: 'measure', check: check.check, written, testerProvedBefore: fields.before.checked, testerProvedAfter: fields.after.checked, ...extras() },
        `Measured ${written}: ${check.do}`);
    });
  }
  const buttons = form.querySelector('.buttons');
  const repairs = check.repairs.length > 0 && !check.tells;
  say(form.querySelector('.ask'), measure ? 'Or, where it could not be measured:' : repairs ? 'Was it done?' : 'What did you find?');
  if (repairs) {
    for (const cause of check.repairs) {
      const button = big(check.repairs.length > 1 ? `Done, since ${says(cause)}: watch whether it holds` : 'Done: watch whether it holds');
      button.addEventListener('click', () => tell({ does: 'repair', cause, check: check.check, ...extras() }, `Put right: ${check.do}`));
      buttons.append(button);
    }
  } else {
    for (const outcome of check.outcomes) {
      const button = big(outcome.found);
      button.append(element('span', outcome.means, 'means'));
      button.addEventListener('click', () => tell({ does: 'answer', check: check.check, outcome: outcome.outcome, ...extras() }, `${outcome.found}: ${check.do}`));
      buttons.append(button);
    }
  }
  form.classList.toggle('not-yet', missing);
  if (missing) say(form.querySelector('.outcome'), 'It counts once everything above is recorded.');
  return card;
}
