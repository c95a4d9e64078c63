// The sheet of a fault-finding: printed before somebody goes, and typed in afterwards.

import { withdrawn } from './check.js';
import { finding, id } from './finding.js';
import { frame } from './frame.js';
import { template } from './parts.js';
import { by, element, keyed, say } from './say.js';
import { head, timeOf } from './step.js';

function draw(form, now) {
  document.title = `Sheet of a fault-finding: ${form.subjectName}`;
  say(by('guided-title'), `Fault-finding: ${form.subjectName}`);
  say(by('sheet-key'), `${form.session} v${form.version}`);
  say(by('likely'), form.causes.slice(0, 3).map((cause) => `${cause.says} (${cause.likelihood})`).join('; '));
  say(by('as-of'), frame.when(form.asOf, now));
  say(by('standing'), form.standingNote);
  by('withdrawn').hidden = form.keepAway.length === 0;
  say(by('withdrawn'), withdrawn(form.next.withdrawn || 'All').replace('All first checks are', 'Every check near it is'));
  by('back').href = `fault-finding.html?id=${encodeURIComponent(id)}`;
  // What waits stays in the page: where it is not taken, nobody has to type it again.
  const sent = new Set(finding.queue.waiting.map((item) => item.body.check));
  keyed(by('steps'), form.checks, (check) => check.check, step, (part, check) => { part.hidden = sent.has(check.check); });
}

function step(check) {
  const part = head(template('sheet-step'), check);
  part.dataset.check = check.check;
  const confirms = part.querySelector('.confirms');
  confirms.hidden = check.confirm.length === 0;
  for (const each of check.confirm) confirms.append(pick('checkbox', 'confirm', each.preparation, each.text));
  part.querySelector('.permit').hidden = !check.authorisationMissing;
  const measure = part.querySelector('.measure');
  measure.hidden = !check.measure;
  if (check.measure) {
    say(measure.querySelector('.quantity'), `${check.measure.quantity}, number and unit (${check.measure.unit})`);
    for (const name of ['before', 'after']) measure.querySelector(`.pick.${name}`).hidden = !check.measure.energised;
  }
  const found = part.querySelector('.finding');
  if (check.repairs.length > 0 && !check.tells) {
    for (const cause of check.repairs) {
      found.append(pick('radio', `found ${check.check}`, `repair ${cause}`, check.repairs.length > 1 ? `done, since ${finding.says(cause)}` : 'done'));
    }
  } else {
    for (const outcome of check.outcomes) found.append(pick('radio', `found ${check.check}`, `answer ${outcome.outcome}`, outcome.found));
  }
  return part;
}

function pick(type, name, value, words) {
  const label = element('label', undefined, 'pick');
  const input = element('input');
  Object.assign(input, { type, name, value });
  label.append(input, ` ${words}`);
  return label;
}

/** What one step of the sheet says, in the order in which it has to be said; empty where nothing is filled in. */
function filled(part, check) {
  const value = (name) => part.querySelector(`[name="${name}"]`).value.trim();
  const ticked = (name) => part.querySelector(`[name="${name}"]`).checked;
  const found = part.querySelector('.finding input:checked')?.value ?? '';
  const written = check.measure ? value('written') : '';
  if (!found && !written) return [];
  const doneAt = timeOf(part.querySelector('[name="doneAt"]'));
  const common = { check: check.check, doneAt };
  const before = [...part.querySelectorAll('.confirms input:checked')].map((box) => (box.value === 'words-saved'
    ? { body: { does: 'words-saved', words: 'as noted on the printed sheet', doneAt }, words: 'Status words saved' }
    : { body: { does: 'prepared', preparation: box.value, ...common }, words: `Confirmed: ${box.parentElement.textContent.trim()}` }));
  const permit = value('permit');
  if (permit) before.push({ body: { does: 'authorised', words: permit, ...common }, words: 'Authorisation' });
  const note = value('note') || undefined;
  if (written) {
    return [...before, { body: { does: 'measure', written, testerProvedBefore: ticked('before'), testerProvedAfter: ticked('after'), words: note, ...common }, words: `Measured ${written}: ${check.do}` }];
  }
  const [kind, ...rest] = found.split(' ');
  const last = kind === 'repair' ? { does: 'repair', cause: rest.join(' '), words: note, ...common }
    : { does: 'answer', outcome: Number(rest[0]), words: note, ...common };
  return [...before, { body: last, words: `${part.querySelector('.finding input:checked').parentElement.textContent.trim()}: ${check.do}` }];
}

by('steps-form').addEventListener('submit', (event) => {
  event.preventDefault();
  const outcome = by('steps-form').querySelector(':scope > .outcome');
  const version = by('printed-version');
  if (version.value === '') {
    say(outcome, 'Type the number behind the v at the head of the printed sheet first.');
    version.focus();
    return;
  }
  const missing = [];
  const all = [...by('steps').children].filter((part) => !part.hidden).map((part) => {
    const check = finding.form.checks.find((one) => one.check === part.dataset.check);
    const said = check ? filled(part, check) : [];
    const at = part.querySelector('[name="doneAt"]').value;
    say(part.querySelector('.outcome'), said.length && !at ? 'When was it done? Type the time.' : '');
    if (said.length && !at) missing.push(part);
    return { at, said };
  }).filter((one) => one.said.length);
  if (missing.length) {
    missing[0].querySelector('[name="doneAt"]').focus();
    return;
  }
  if (!all.length) {
    say(outcome, 'Nothing is filled in.');
    return;
  }
  if (!frame.person()) return;
  all.sort((one, other) => one.at.localeCompare(other.at));
  const entries = all.flatMap((one) => one.said);
  for (const { body, words } of entries) finding.tell({ ...body, seen: Number(version.value) }, words);
  say(outcome, `${entries.length} entries of the sheet are on their way; what is not taken is shown above.`);
});
by('print').addEventListener('click', () => window.print());

finding.draw = draw;
finding.open();
