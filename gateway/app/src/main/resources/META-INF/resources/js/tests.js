// The point test: forces a point, and keeps the sheet that both ends sign.

import { beginTest, read } from './ask.js';
import { frame } from './frame.js';
import { by, element, keyed, say } from './say.js';
import { offsetWords } from './time.js';

const LOOKED_AT = 40;
const points = new Map();
let rows = [];

async function everyPage(address, take) {
  let after = '';
  do {
    const { form, problem } = await read(`${address}?limit=1000${after && `&after=${encodeURIComponent(after)}`}`);
    if (problem) return problem;
    take(form);
    after = form.next ?? '';
  } while (after);
  return '';
}

async function loadPoints() {
  await everyPage('api/v1/alarms', (page) => page.alarms.forEach((alarm) => points.set(alarm.alarm, { kind: 'alarm', label: alarm.headline })));
  await everyPage('api/v1/readings', (page) => page.readings.filter((reading) => reading.text === undefined)
    .forEach((reading) => points.set(reading.reading, { kind: 'reading', label: `${reading.label} (${reading.reading.split('/')[0]})${reading.unit && `, ${reading.unit}`}` })));
  by('points').replaceChildren(...[...points].map(([point, { label }]) => Object.assign(element('option', label), { value: point })));
  drawSheet();
}

by('force').addEventListener('submit', async (event) => {
  event.preventDefault();
  const { point, to, minutes } = event.target.elements;
  const outcomeAt = event.target.querySelector('.outcome');
  const known = points.get(point.value.trim());
  if (!known) {
    say(outcomeAt, 'There is no such point: choose one of the list.');
    point.focus();
    return;
  }
  if (!frame.person()) return;
  const outcome = await beginTest(known.kind, point.value.trim(), to.value.trim(), `PT${Math.round(Number(minutes.value))}M`);
  say(outcomeAt, outcome.words);
  frame.live.refresh();
});

/** Tests of the period, from the event record, the oldest first. */
async function loadTests() {
  const since = Date.now() - Number(by('period').elements.hours.value) * 3_600_000;
  const found = [];
  let before = '';
  for (let looked = 0; looked < LOOKED_AT; looked += 1) {
    const { form, problem } = await read(`api/v1/record?kind=test-forced&kind=test-ended&before=${before || Number.MAX_SAFE_INTEGER}&limit=1000`);
    if (problem) {
      say(by('sheet-words'), `The tests cannot be read: ${problem}.`);
      return;
    }
    found.push(...form.events);
    const oldest = form.events.at(-1);
    before = form.next;
    if (!before || (oldest && Date.parse(oldest.at) < since)) break;
  }
  rows = together(found.reverse().filter((event) => Date.parse(event.at) >= since));
  drawSheet();
}

/** Each forcing with its end: the end of the test, or the next forcing the other way. */
function together(events) {
  const made = [];
  const open = new Map();
  for (const event of events) {
    const point = event.alarm ?? event.subject;
    const going = open.get(point);
    if (going) {
      going.to = event.at;
      open.delete(point);
    }
    if (event.kind === 'test-forced') {
      const row = { key: event.eventId, point, event, from: event.at, to: '' };
      made.push(row);
      open.set(point, row);
    }
  }
  return made;
}

/** Of a reading the record has it in words: NAME (door): forced to VALUE; for how long. */
const inWords = (event) => /^(?<name>.*) \([a-z][a-z0-9-]*\): forced to (?<value>[^;]+)/.exec(event.text)?.groups;
const forced = (event) => (event.alarm ? (event.active ? 'active' : 'normal') : inWords(event)?.value ?? event.text);
const person = (event) => event.by?.name ?? inWords(event)?.name ?? '';

function drawSheet() {
  const now = frame.now();
  keyed(by('sheet').tBodies[0], rows, (row) => row.key, (row) => {
    const made = element('tr');
    const point = Object.assign(element('th'), { scope: 'row' });
    point.append(element('span'), element('small', row.point));
    const seen = element('td', undefined, 'seen');
    for (const answer of ['yes', 'no']) {
      const label = element('label', ` ${answer}`);
      const box = Object.assign(element('input'), { type: 'radio', name: row.key, value: answer });
      label.prepend(box);
      seen.append(label);
    }
    const remark = element('td');
    remark.append(Object.assign(element('input'), { type: 'text', maxLength: 200 }));
    remark.firstElementChild.setAttribute('aria-label', `Remark on ${row.point}`);
    made.append(point, element('td'), element('td'), element('td'), element('td'), seen, remark);
    return made;
  }, (made, row) => {
    const [point, to, from, until, who] = made.children;
    say(point.firstElementChild, points.get(row.point)?.label ?? row.event.headline ?? row.point);
    say(to, forced(row.event));
    say(from, frame.when(row.from, now));
    say(until, row.to ? frame.when(row.to, now) : 'still forced');
    say(who, person(row.event));
  });
  say(by('sheet-words'), rows.length ? `${rows.length} ${rows.length === 1 ? 'test' : 'tests'}, ${rows.filter((row) => !row.to).length} still going on.`
    : 'No point was forced in this time.');
  if (!frame.snapshot) return;
  say(by('sheet-station'), `${frame.snapshot.station.name}${frame.snapshot.station.owner ? `, ${frame.snapshot.station.owner}` : ''}`);
  say(by('sheet-gateway'), frame.snapshot.station.gateway);
  say(by('sheet-zone'), `${offsetWords(now, frame.utc)}, printed ${now.toISOString().slice(0, 10)}`);
}

by('period').elements.hours.addEventListener('change', loadTests);
by('print').addEventListener('click', () => window.print());

frame.follow(loadTests, Infinity, (snapshot) => {
  document.title = `${snapshot.station.name}: point test`;
  drawSheet();
});
loadPoints();
