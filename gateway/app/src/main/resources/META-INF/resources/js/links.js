// How the links to other systems stand, and a test message over one.

import { read, testLink } from './ask.js';
import { frame } from './frame.js';
import { by, keyed, say } from './say.js';
import { needs } from './session.js';
import { span } from './time.js';

const READ_EVERY_MS = 2_000;
const KINDS = { mqtt: 'MQTT', webhook: 'Webhook', 'opc-ua-server': 'OPC UA server' };

let links = null;

async function load() {
  const { form, problem } = await read('api/v1/links');
  by('problem').hidden = !problem;
  if (problem) {
    say(by('problem'), `The links cannot be read: ${problem}.`);
    return;
  }
  links = form.links;
  draw();
}

function draw() {
  if (!links) return;
  const now = frame.now();
  by('no-link').hidden = links.length > 0;
  keyed(by('links'), links, (link) => link.link, create, (row, link) => update(row, link, now));
}

function create(link) {
  const row = by('link-row').content.firstElementChild.cloneNode(true);
  const form = row.querySelector('form');
  needs(form, form.dataset.needs);
  form.addEventListener('submit', async (event) => {
    event.preventDefault();
    if (!frame.person()) return;
    const button = form.querySelector('button');
    const outcome = form.querySelector('.outcome');
    button.disabled = true;
    say(outcome, 'Sent; waiting for the other side …');
    const { words, form: answer } = await testLink(link.link);
    button.disabled = false;
    say(outcome, answer ? `${answer.words}${answer.confirmed ? ` It took ${Math.max(1, answer.afterMillis)} ms.` : ''} Event ${answer.eventId}.` : words);
    load();
  });
  return row;
}

function update(row, link, now) {
  say(row.querySelector('h3'), link.name);
  const condition = row.querySelector('.condition');
  condition.classList.toggle('abnormal', link.condition !== 'up');
  say(condition, `${link.condition === 'up' ? '' : '! '}${KINDS[link.kind] ?? link.kind}, ${conditionWords(link, now)}`);
  say(row.querySelector('.confirmed'), link.confirmedAt
    ? `${frame.when(link.confirmedAt, now)}, event ${link.confirmedEvent}` : 'nothing since the start');
  say(row.querySelector('.waits'), link.waiting === 0 ? 'nothing'
    : `${link.waiting.toLocaleString('en')} ${link.waiting === 1 ? 'event' : 'events'}${link.waitingSince ? `, the oldest of ${frame.when(link.waitingSince, now)}` : ''}`);
  say(row.querySelector('.volume'), volumeWords(link));
  row.querySelector('.skipped-part').hidden = link.skipped === 0;
  say(row.querySelector('.skipped'), `${link.skipped} since the start: the event record names them`);
  row.querySelector('.error-part').hidden = !link.lastError;
  say(row.querySelector('.error'), link.lastError ?? '');
}

function conditionWords(link, now) {
  if (link.condition === 'up') return 'up';
  const next = link.nextTry ? new Date(link.nextTry) - now : 0;
  const tries = link.tries ? `, ${link.tries} ${link.tries === 1 ? 'try' : 'tries'} failed in a row` : '';
  return `${link.condition}${tries}${next > 1_000 ? `, tries again in ${span(next)}` : ''}`;
}

function volumeWords(link) {
  if (!link.bytesADay) return size(link.bytesToday);
  const percent = Math.floor((100 * link.bytesToday) / link.bytesADay);
  return `${size(link.bytesToday)} of ${size(link.bytesADay)} (${percent} %)${link.readingsHeld ? '; readings wait until the day is over, events go on' : ''}`;
}

const size = (bytes) => (bytes < 1_000 ? `${bytes} bytes` : bytes < 1_000_000 ? `${(bytes / 1_000).toFixed(1)} kB` : `${(bytes / 1_000_000).toFixed(1)} MB`);

frame.follow(load, READ_EVERY_MS, (snapshot) => {
  document.title = `${snapshot.station.name}: links`;
  draw();
});
