// Guided fault-finding for a phone in a gloved hand: the next step, what was found, who else is at it.

import { read } from './ask.js';
import { withdrawn } from './check.js';
import { finding, id, left, sentence } from './finding.js';
import { frame } from './frame.js';
import { causeRow, drawCause } from './likely.js';
import { percent } from './percent.js';
import { by, element, keyed, say } from './say.js';
import { session } from './session.js';
import { stepCard } from './step.js';
import { durationOf, span } from './time.js';

const states = { 'under-way': 'under way', 'proved-gone': 'proved gone', 'handed-over': 'handed over', 'given-up': 'given up', ended: 'ended' };
const whys = {
  'tells-most': 'It tells most per minute among the least exposed.',
  'fixed-order': 'It comes next in the order that the fault model fixes.',
  'named-by-outcome': 'What was found last asks for it.',
  'puts-right': 'It puts the cause right.',
  'proves-repair': 'It proves the repair.',
  confirms: 'It confirms the likeliest cause, before others are told from it.',
};
const told = { holds: 'still there', 'does-not-hold': 'gone', 'cannot-be-told': 'cannot be told' };
let chosen = null;

// ---- the list

async function list() {
  const answer = await read('api/v1/fault-findings');
  by('problem').hidden = !answer.problem;
  if (answer.problem) {
    say(by('problem'), `The list cannot be shown: ${answer.problem}.`);
    return;
  }
  by('list-part').hidden = false;
  by('list-none').hidden = answer.form.faultFindings.length > 0;
  keyed(by('list'), answer.form.faultFindings, (item) => item.session, (item) => {
    const row = element('li');
    const link = element('a');
    link.href = `fault-finding.html?id=${encodeURIComponent(item.session)}`;
    row.append(link, element('span'));
    return row;
  }, (row, item) => {
    say(row.querySelector('a'), `${item.subjectName}, ${frame.when(item.begun)}`);
    say(row.querySelector('span'), ` ${states[item.state]}, begun by ${item.begunBy}.${item.atWork.length ? ` At work: ${item.atWork.join(', ')}.` : ''}${item.found ? ` Found: ${item.found}.` : ''}`);
  });
}

// ---- one of them

function draw(form, now) {
  document.title = `Fault-finding: ${form.subjectName}`;
  say(by('guided-title'), `Fault-finding: ${form.subjectName}`);
  const here = form.atWork.includes(session.now.name);
  say(by('at-work'), form.atWork.length ? `At work now: ${form.atWork.join(', ')}.` : 'Nobody says to be at work now.');
  by('join').hidden = here || form.ending !== undefined;
  by('leave').hidden = !here;
  next(form, now);
  const lines = [
    form.secondPerson && `Second person: ${form.secondPerson}`, form.toldBefore && `Control room told before: ${form.toldBefore}`,
    form.wordsSaved && `Status words saved: ${form.wordsSaved}`, form.toldAfter && `Control room told after: ${form.toldAfter}`,
  ].filter(Boolean);
  keyed(by('told'), lines.length ? lines : ['Nothing recorded yet.'], (line) => line, (line) => element('li', line), () => {});
  by('found-none').hidden = form.answers.length > 0 || form.inVain.length > 0;
  const done = [...form.answers.map((answer) => ({ key: `a${answer.version}`, words: `${answer.written ? `${answer.written}: ` : ''}${answer.found ?? ''}`,
    of: answer.action ?? answer.check, means: answer.means ?? '', who: `${answer.who}, ${frame.when(answer.at, now)}`, old: !answer.counts })),
  ...form.inVain.map((vain) => ({ key: `v${vain.cause}${vain.why}`, words: `The repair did not help: ${vain.says}`, of: vain.why, means: '', who: '', old: false }))];
  keyed(by('answers'), done, (item) => item.key, () => {
    const row = element('li');
    row.append(element('p', undefined, 'words'), element('p', undefined, 'of'), element('p', undefined, 'who help'));
    return row;
  }, (row, item) => {
    row.classList.toggle('old', item.old);
    say(row.querySelector('.words'), `${item.words}${item.old ? ' (answered anew since)' : ''}`);
    say(row.querySelector('.of'), `${sentence(item.of)} ${sentence(item.means)}`);
    say(row.querySelector('.who'), item.who);
  });
  by('found').hidden = !form.found;
  if (form.found) say(by('found'), `Found: ${form.found.says}${form.found.provedByCheck ? ', proved by a check' : `, ${percent(form.found.probability)}`}.`);
  keyed(by('causes'), form.causes, (cause) => cause.cause, causeRow, drawCause);
  say(by('unlisted'), `Something that nobody has listed: ${percent(form.unlisted)}.`);
  by('end-part').hidden = form.ending !== undefined;
  options(form);
  by('sheet-link').href = `fault-finding-sheet.html?id=${encodeURIComponent(id)}`;
  by('record-link').href = `fault-finding-record.html?id=${encodeURIComponent(id)}`;
  say(by('standing'), form.standingNote);
}

/** Checks that this page has already answered and not sent yet. */
const answeredHere = () => new Set(finding.queue.waiting.filter((item) => ['answer', 'measure', 'repair'].includes(item.body.does)).map((item) => item.body.check));

function next(form, now) {
  const here = answeredHere();
  const open = form.checks.filter((check) => !here.has(check.check));
  const proposed = form.next.check && !here.has(form.next.check) ? form.next.check : null;
  if (chosen && !open.some((check) => check.check === chosen)) chosen = null;
  const wanted = open.find((check) => check.check === (chosen ?? proposed)) ?? null;
  const kinds = {
    check: wanted ? '' : 'Waiting for the next step. Where there is no connection, take another step of the list below.',
    'put-right': `Put it right: ${form.next.says}.${form.next.call ? ` Call the ${form.next.call}.` : ''}${form.next.others.length ? '' : ' No step for it is in the library: report below what was done.'}`,
    watch: `Watching whether it is gone: ${form.next.says}.`,
    'hand-over': `Hand it over${form.next.call ? ` to the ${form.next.call}` : ''}: ${form.next.reason}.`,
    ended: form.ending ? endWords(form) : '',
  };
  say(by('next-words'), [kinds[form.next.kind], form.next.saveWordsFirst ? 'A step that would lose the status words is held back until they are saved: record that below.' : ''].filter(Boolean).join(' '));
  say(by('next-why'), chosen ? 'Chosen by you instead of the one that is proposed.' : wanted && form.next.why ? whys[form.next.why] : '');
  by('withdrawn').hidden = !form.next.withdrawn;
  say(by('withdrawn'), withdrawn(form.next.withdrawn));
  const holder = by('card');
  const shows = wanted ? JSON.stringify(wanted) : '';
  if (holder.dataset.shows !== shows) {
    const inside = holder.contains(document.activeElement);
    holder.dataset.shows = shows;
    holder.replaceChildren(...(wanted ? [stepCard(wanted, finding.says, (body, words) => {
      if (finding.tell(body, words) && ['answer', 'measure', 'repair'].includes(body.does)) chosen = null;
    })] : []));
    if (inside) by('next-title').focus();
  }
  const others = open.filter((check) => check.check !== wanted?.check);
  by('others-part').hidden = others.length === 0 || form.ending !== undefined;
  keyed(by('others'), others, (check) => JSON.stringify([check.check, check.do]), (check) => {
    const item = element('li');
    const button = element('button', check.do, 'big');
    button.type = 'button';
    button.append(element('span', `Exposure ${check.exposure} of 4${check.minutes ? `, ${check.minutes} min` : ''}`, 'means'));
    button.addEventListener('click', () => {
      chosen = check.check;
      by('others-part').open = false;
      finding.show();
      by('next-title').focus();
    });
    item.append(button);
    return item;
  }, () => {});
  watch(form, now);
}

function watch(form, now) {
  const { watching } = form;
  by('watch').hidden = !watching;
  if (!watching) return;
  const quiet = span(durationOf(watching.quiet));
  const lines = [
    `Repaired at ${frame.when(watching.since, now)}. A sign that still holds says nothing for ${span(durationOf(watching.settles))}.`,
    watching.provedAt ? `Quiet since ${frame.when(watching.quietSince, now)}: proved gone at ${frame.when(watching.provedAt, now)}${watching.provedAt > form.asOf ? `, ${left(watching.provedAt, new Date(form.asOf))} left` : ''}.`
      : watching.quietSince ? `Quiet since ${frame.when(watching.quietSince, now)}; it takes ${quiet}.` : `Not quiet yet; then it takes ${quiet}.`,
    ...watching.signs.map((sign) => `${sentence(sign.text)} ${sentence(told[sign.state])}`),
    ...watching.readings.map((reading) => `${reading.label}: ${reading.value === undefined ? 'cannot be told' : `${Number(reading.value.toPrecision(5))} ${reading.unit}`}, ${reading.asWanted ? 'as wanted' : `wanted ${[reading.from !== undefined && `from ${reading.from}`, reading.to !== undefined && `to ${reading.to}`].filter(Boolean).join(' ')}`}.`),
    watching.analysesWanted ? `${watching.analyses} of ${watching.analysesWanted} analyses finished since.` : '',
    watching.proof ? 'The check that proves the repair is still to be answered.' : '',
    watching.maintenance ? 'The monitor is in maintenance, so nothing it says counts: end the maintenance.' : '',
  ].filter(Boolean);
  keyed(by('watch-lines'), lines.map((line, index) => ({ line, index })), (item) => String(item.index), () => element('li'), (row, item) => say(row, item.line));
}

function endWords(form) {
  const { kind, says, to, why, who, at } = form.ending;
  const when = `${who === 'gateway' ? '' : `${who}, `}${frame.when(at)}`;
  return kind === 'proved-gone' ? `PROVED GONE: ${says}, ${why} (${when}).`
    : kind === 'handed-over' ? `Handed over to ${to}: ${why} (${when}).` : `Given up: ${why} (${when}).`;
}

/** Causes and steps to choose from, kept while somebody chooses. */
function options(form) {
  const fields = by('repair').elements;
  const causes = form.causes.map((cause) => [cause.cause, cause.says]);
  const first = form.found?.cause ?? form.causes[0]?.cause ?? '';
  fill(fields.cause, causes, first);
  const steps = form.checks.filter((check) => check.repairs.includes(fields.cause.value)).map((check) => [check.check, check.do]);
  fill(fields.check, [['', 'none of the library: said below'], ...steps], '');
}

function fill(select, entries, wanted) {
  const shows = JSON.stringify([entries, wanted]);
  if (select.dataset.shows === shows || document.activeElement === select) return;
  const before = select.value;
  select.dataset.shows = shows;
  select.replaceChildren(...entries.map(([value, words]) => new Option(words, value)));
  const keeps = before && entries.some(([value]) => value === before);
  select.value = keeps ? before : wanted;
}

const field = (form, name) => form.elements[name].value.trim();

function sends(form, does, words) {
  by(form).addEventListener('submit', (event) => {
    event.preventDefault();
    const said = event.target;
    const body = { does: does ?? field(said, 'does') };
    for (const name of ['cause', 'check', 'words', 'why']) {
      const value = said.elements[name] && field(said, name);
      if (value) body[name] = value;
    }
    if (finding.tell(body, words(said))) {
      for (const name of ['words', 'why']) if (said.elements[name]) said.elements[name].value = '';
      const folded = said.closest('details');
      if (folded) folded.open = false;
    }
  });
}

if (id) {
  finding.draw = draw;
  sends('before', null, (said) => said.querySelector('input[name="does"]:checked').closest('label').textContent.trim());
  sends('repair', 'repair', (said) => `Put right: ${said.elements.cause.selectedOptions[0]?.textContent ?? ''}`);
  sends('hand-over', 'hand-over', (said) => `Handed over to ${field(said, 'words')}`);
  sends('give-up', 'give-up', () => 'Given up');
  by('join').addEventListener('click', () => finding.tell({ does: 'join' }, 'I am at work here'));
  by('leave').addEventListener('click', () => finding.tell({ does: 'leave' }, 'I am leaving'));
  by('repair').elements.cause.addEventListener('change', () => finding.form && options(finding.form));
  finding.open();
} else {
  by('queue-words').hidden = true;
  frame.follow(list, Infinity);
}
