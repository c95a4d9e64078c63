// Why: likely causes, what each explains, what speaks against it, and the numbers behind it.

import { beginFaultFinding, read } from './ask.js';
import { checkOf, withdrawn } from './check.js';
import { percent } from './percent.js';
import { frame } from './frame.js';
import { causeRow, drawCause } from './likely.js';
import { newKey } from './queue.js';
import { by, element, keyed, say } from './say.js';
import { table } from './table.js';
import { durationOf, span } from './time.js';

const id = new URLSearchParams(location.search).get('id') ?? '';
const address = `api/v1/diagnoses/${encodeURIComponent(id)}`;
let form = null;

async function refresh() {
  const answer = await read(address);
  by('problem').hidden = !answer.problem;
  if (answer.problem) {
    // Only the gateway can say that it is over; whoever is signed out or cut off does not know.
    if (answer.gone) say(by('diagnosis-title'), form ? `${form.headline}: over` : 'This diagnosis is over');
    say(by('problem'), form ? `What is below was last so at ${frame.when(form.asOf)}: ${answer.problem}.` : `${answer.problem}.`);
    return;
  }
  form = answer.form;
  draw(frame.now());
}

function draw(now) {
  if (!form) return;
  by('of-diagnosis').hidden = false;
  document.title = `Why: ${form.headline}`;
  say(by('about'), `${form.subjectName}, since ${frame.when(form.since, now)}${form.timeTrusted ? '' : ', clock not trusted'}`);
  say(by('diagnosis-title'), form.headline);
  say(by('sentence'), form.sentence);
  const doubtful = form.doubtfulReadings.length > 0;
  by('trust').hidden = !form.trust;
  by('trust').classList.toggle('doubtful-words', doubtful);
  say(by('trust').querySelector('.glyph'), doubtful ? '?' : '✓');
  say(by('trust').querySelector('.words'), form.trust);
  const limit = durationOf(form.within);
  const facts = [['Call', form.call ? `the ${form.call}` : ''],
    ['Act by', form.actBy ? `${frame.when(form.actBy, now)} (${new Date(form.actBy) > now ? `${span(new Date(form.actBy) - now)} left` : 'time is over'})`
      : Number.isNaN(limit) ? '' : `within ${span(limit)}`],
    ['Spares', form.spares.join(', ')], ['Bring', form.tools.join(', ')]].filter(([, words]) => words);
  keyed(by('facts'), facts, ([name]) => name, ([name]) => {
    const pair = element('div');
    pair.append(element('dt', name), element('dd'));
    return pair;
  }, (pair, [, words]) => say(pair.querySelector('dd'), words));

  const text = new Map(form.signs.map((sign) => [sign.sign, sign.text]));
  const told = (signs) => signs.map((sign) => text.get(sign) ?? sign).join('; ');
  keyed(by('causes'), form.causes, (cause) => cause.cause, () => {
    const item = causeRow();
    item.append(element('ul'));
    return item;
  }, (item, cause) => {
    drawCause(item, cause);
    const lines = [
      cause.explains.length ? `Explains: ${told(cause.explains)}.` : 'Explains nothing that holds now.',
      cause.against.length ? `Speaks against it, since it does not hold: ${told(cause.against)}.` : '',
      cause.awaited.length ? `May still come: ${told(cause.awaited)}.` : '',
      ...cause.support.map((support) => `${support.signal}, ${support.looksFor}: `
        + (support.seen === undefined ? 'cannot be told.' : support.seen ? 'seen.' : 'not seen.')),
      cause.keepsAway ? 'People are to keep away while it is to be reckoned with.' : '',
    ].filter(Boolean);
    keyed(item.querySelector('ul'), lines, (line) => line, (line) => element('li', line), () => {});
  });
  say(by('unexplained'), form.unexplained.length ? `What no listed cause explains: ${told(form.unexplained)}.` : 'Nothing is left unexplained.');
  const first = form.firstOut;
  say(by('first-out'), first ? `First came: ${first.text}, at ${frame.when(first.at, now)}`
    + (first.certain ? '.' : ` (the order cannot be told for certain: polling ${span(durationOf(first.uncertainty))} apart; or one of: ${told(first.orOneOf)}).`) : '');
  const alarms = [...form.alarms.map((alarm) => [alarm, '']), ...form.alarmsApart.map((alarm) => [alarm, 'stands for itself, whatever the cause'])];
  keyed(by('grouped'), alarms, ([alarm]) => alarm, ([alarm]) => {
    const item = element('li');
    const link = element('a');
    link.href = `asset.html?id=${encodeURIComponent(alarm.split('/')[0])}`;
    item.append(link, element('span'));
    return item;
  }, (item, [alarm, note]) => {
    say(item.querySelector('a'), frame.snapshot?.alarms.find((known) => known.alarm === alarm)?.headline ?? alarm);
    say(item.querySelector('span'), note ? `: ${note}` : '');
  });
  by('doubts-part').hidden = !doubtful;
  keyed(by('doubts'), form.doubtfulReadings, (doubt) => `${doubt.reading} ${doubt.cause}`, () => element('li'), (item, doubt) =>
    say(item, `${doubt.label}: ${doubt.worthless ? 'worthless' : 'doubtful'}, if it is ${form.causes.find((cause) => cause.cause === doubt.cause)?.says ?? doubt.cause}`));
  say(by('standing'), form.standingNote);
  by('withdrawn').hidden = !form.withdrawnChecks;
  say(by('withdrawn'), withdrawn(form.withdrawnChecks));
  by('no-check').hidden = form.firstChecks.length > 0 || form.withdrawnChecks > 0;
  keyed(by('check-list'), form.firstChecks, (check) => JSON.stringify(check), checkOf, () => {});
  numbers();
  by('raw').replaceChildren('The same as ', Object.assign(element('a', 'JSON'), { href: address }), ', from which the posterior can be computed again.');
}

/** Everything from which the posterior follows, as tables. */
function numbers() {
  const { reasoning } = form;
  const holder = by('numbers');
  const shows = JSON.stringify(reasoning ?? null);
  if (!reasoning || holder.dataset.shows === shows) return;
  holder.dataset.shows = shows;
  const figure = (value) => (value === 0 ? '0' : Math.abs(value) < 1e-3 || Math.abs(value) >= 1e5 ? value.toExponential(3) : String(Number(value.toPrecision(5))));
  const words = [reasoning.model, reasoning.prior,
    `Causes may have begun within ${span(durationOf(reasoning.window))}; computed ${reasoning.method}${reasoning.error ? `, greatest error ${figure(reasoning.error)}` : ''}; weight of the evidence ${figure(reasoning.evidence)}.`];
  const causes = table('Causes', ['Cause', 'A year', 'Prior', 'Support', 'Absent signs', 'Posterior', 'Origin'],
    reasoning.causes.map((cause) => [cause.cause, figure(cause.perYear), figure(cause.prior), figure(cause.support), figure(cause.absent), figure(cause.posterior), cause.origin]), true);
  const links = table('What produces what', ['Cause', 'Sign', 'How surely', 'Within', 'Now'],
    reasoning.causes.flatMap((cause) => cause.produces.map((link) => [cause.cause, link.sign, figure(link.probability), link.within, link.state + (link.counted ? '' : ', not counted')])), true);
  const signs = table('Signs that hold', ['Sign', 'A year, for no listed reason', 'That it does so now', 'Posterior of that', 'Origin'],
    reasoning.signs.map((sign) => [sign.sign, figure(sign.perYear), figure(sign.otherwise), figure(sign.unlisted), sign.origin]), true);
  holder.replaceChildren(...words.map((line) => element('p', line)), causes, links, signs);
}

// One key for one wish: pressed again after a lost answer it begins nothing twice.
const key = newKey();
by('begin-finding').addEventListener('click', async () => {
  if (!frame.person()) return;
  by('begin-finding').disabled = true;
  const outcome = await beginFaultFinding(id, key);
  by('begin-finding').disabled = false;
  if (outcome.form) location.href = `fault-finding.html?id=${encodeURIComponent(outcome.form.session)}`;
  else say(by('begin-outcome'), outcome.words);
});

frame.follow(refresh, 10_000, (snapshot, now) => draw(now));
