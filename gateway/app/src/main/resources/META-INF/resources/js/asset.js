// One asset: what it needs, what its monitors say, what is likely wrong with it. Without an id, the list of assets.

import { beginMaintenance, read } from './ask.js';
import { percent } from './percent.js';
import { frame } from './frame.js';
import { createRow, updateRow } from './row.js';
import { by, element, keyed, say } from './say.js';
import { span } from './time.js';

const id = new URLSearchParams(location.search).get('id');
let form = null;

async function refresh() {
  const answer = await read(id ? `api/v1/assets/${encodeURIComponent(id)}` : 'api/v1/assets');
  by('problem').hidden = !answer.problem;
  if (answer.problem) {
    say(by('problem'), `This asset cannot be shown: ${answer.problem}.`);
    return;
  }
  form = answer.form;
  draw(frame.now());
}

function draw(now) {
  if (!form) return;
  if (!id) {
    document.title = `${form.station.name}: assets`;
    by('assets').hidden = false;
    keyed(by('assets'), form.assets, (asset) => asset.asset, () => {
      const item = element('li');
      item.append(element('a'), ' ', element('span'));
      return item;
    }, (item, asset) => {
      const link = item.querySelector('a');
      link.href = `asset.html?id=${encodeURIComponent(asset.asset)}`;
      say(link, asset.name);
      say(item.querySelector('span'), asset.alarms === 0 ? 'needs nobody now'
        : `${asset.alarms} ${asset.alarms === 1 ? 'alarm needs' : 'alarms need'} someone, ${asset.unacknowledged} not acknowledged`);
    });
    return;
  }
  document.title = `${form.name}, ${form.station.name}`;
  say(by('asset-title'), form.name);
  by('of-asset').hidden = false;
  say(by('no-alarm'), form.alarms.length ? '' : 'None needs anybody now.');
  keyed(by('needs'), form.alarms, (alarm) => alarm.alarm, (alarm) => createRow(alarm), (row, alarm) => updateRow(row, alarm, now));
  const { shelved, suppressed, outOfService } = form.setAside;
  say(by('aside-words'), `Set aside: ${shelved.length} shelved, ${suppressed.length} suppressed by design, ${outOfService.length} out of service.`);
  drawDiagnoses();
  drawPictures();
  keyed(by('monitors'), form.devices, (device) => device.device.device, monitor, (part, device) => updateMonitor(part, device, now));
  const of = by('maintain').elements.of;
  if (!of.length) {
    of.append(new Option(`all of ${form.name}`, form.asset));
    for (const { device } of form.devices) of.append(new Option(device.name, device.device));
  }
}

function drawDiagnoses() {
  const mine = (frame.snapshot?.diagnoses ?? []).filter((diagnosis) => diagnosis.assets.includes(id));
  by('diagnoses-part').hidden = mine.length === 0;
  keyed(by('diagnoses'), mine, (diagnosis) => diagnosis.diagnosis, (diagnosis) => {
    const item = element('li');
    const link = element('a', 'Why');
    link.href = `diagnosis.html?id=${encodeURIComponent(diagnosis.diagnosis)}`;
    item.append(element('strong'), element('span'), ' ', link);
    return item;
  }, (item, diagnosis) => {
    say(item.querySelector('strong'), diagnosis.headline);
    const first = diagnosis.causes[0];
    say(item.querySelector('span'), first ? `: ${first.likelihood}, ${percent(first.probability)}.` : ': no listed cause fits.');
  });
}

/** Pictures that the gateway draws of the asset; what they show in figures is in the tables. */
function drawPictures() {
  by('pictures-part').hidden = form.pictures.length === 0;
  // Drawn anew with every reading of the form; `at` only makes the browser ask again.
  const at = encodeURIComponent(form.asOf);
  keyed(by('pictures'), form.pictures, (picture) => picture.picture, () => {
    const figure = element('figure');
    figure.append(element('img'), element('figcaption'));
    return figure;
  }, (figure, { title, href }) => {
    const image = figure.querySelector('img');
    image.alt = `Picture: ${title} of ${form.name}`;
    if (!image.src.endsWith(`${href}?at=${at}`)) image.src = `${href}?at=${at}`;
    say(figure.querySelector('figcaption'), title);
  });
}

const qualityWords = { good: '', uncertain: 'doubtful', bad: 'cannot be told' };

function monitor({ device }) {
  const part = element('section', undefined, 'monitor');
  part.append(element('h4'), element('p', undefined, 'holding'), table(`Readings of the ${device.name}`));
  if (device.map === 'computed') {
    // Most of what is computed waits for years of samples; it must not bury what is known.
    const rest = element('details');
    rest.append(element('summary'), table(`Results that cannot be told, of the ${device.name}`));
    part.append(rest);
  }
  return part;
}

function table(name) {
  const wide = element('div', undefined, 'wide');
  wide.tabIndex = 0;
  wide.setAttribute('role', 'region');
  const made = element('table');
  const head = element('tr');
  for (const title of ['Reading', 'Value', 'Quality', 'Age']) {
    const cell = element('th', title);
    cell.scope = 'col';
    head.append(cell);
  }
  const thead = element('thead');
  thead.append(head);
  made.append(element('caption', name, 'unseen'), thead, element('tbody'));
  wide.append(made);
  wide.setAttribute('aria-label', name);
  return wide;
}

function updateMonitor(part, { device, readings, indications }, now) {
  say(part.querySelector('h4'), `${device.name}, ${device.product}`);
  const holding = indications.filter((indication) => indication.state === 'holds').map((indication) => indication.text);
  const untold = indications.filter((indication) => indication.state === 'cannot-be-told').length;
  say(part.querySelector('.holding'), untold === indications.length && untold ? 'None of its indications can be told.'
    : `${holding.length ? `Says: ${holding.join('; ')}.` : 'Says nothing.'}`
      + (untold ? ` ${untold} of ${indications.length} indications cannot be told.` : ''));
  const rest = part.querySelector('details');
  const untellable = (reading) => rest && reading.quality === 'bad';
  const known = readings.filter((reading) => !untellable(reading));
  const textOf = new Map(indications.map((indication) => [indication.indication, indication.text]));
  const fill = (body, some) => keyed(body, some, (reading) => reading.reading, () => {
    const row = element('tr');
    const label = element('th');
    label.scope = 'row';
    row.append(label, element('td', undefined, 'value'), element('td', undefined, 'quality'), element('td', undefined, 'value'));
    return row;
  }, (row, reading) => {
    const [label, value, quality, age] = row.children;
    say(label, reading.label);
    value.classList.toggle('words', reading.value === undefined);
    say(value, reading.value === undefined ? reading.text ?? '–' : `${written(reading.value)} ${reading.unit}`.trim());
    row.classList.toggle('doubtful', reading.quality !== 'good');
    say(quality, reading.test ? 'forced by a test' : [qualityWords[reading.quality] ?? reading.quality,
      reading.because.length ? reading.because.map((id) => textOf.get(id) ?? id).join(', ')
        : ['none', 'doubtful'].includes(reading.reason) ? '' : reading.reason.replaceAll('-', ' ')].filter(Boolean).join(': '));
    say(age, reading.value === undefined && reading.text === undefined ? '' : span(now - new Date(reading.at)));
  });
  fill(part.querySelector('tbody'), known);
  if (rest) {
    const others = readings.filter(untellable);
    rest.hidden = others.length === 0;
    say(rest.querySelector('summary'), `${others.length} results that cannot be told now, and why`);
    fill(rest.querySelector('tbody'), others);
  }
}

/** As many digits as a person can use. */
const written = (value) => (Number.isInteger(value) ? String(value) : String(Number(value.toPrecision(5))));

by('maintain')?.addEventListener('submit', async (event) => {
  event.preventDefault();
  const fields = event.target.elements;
  if (!frame.person()) return;
  const minutes = Math.round(Number(fields.hours.value) * 60);
  const outcome = await beginMaintenance(fields.of.value, fields.reason.value.trim(), fields.permit.value.trim(), `PT${minutes}M`);
  say(event.target.querySelector('.outcome'), outcome.words);
  frame.live.refresh();
});

// Readings have no events.
frame.follow(refresh, 5_000, (snapshot, now) => draw(now));
