// What the pages of one guided fault-finding have in common: its state, and what waits to be sent.

import { read } from './ask.js';
import { frame } from './frame.js';
import { Queue } from './queue.js';
import { by, element, keyed, say } from './say.js';
import { span } from './time.js';

export const id = new URLSearchParams(location.search).get('id') ?? '';
export const address = `api/v1/fault-findings/${encodeURIComponent(id)}`;

const QUIET_MS = 8_000;

say(by('stale-advice'), 'Keep-away and alarms may have come since: ask the control room before you go near. Do not rely on what is below.');

export const finding = {
  form: null,
  queue: null,
  /** Draws the page; a page puts its own here. */
  draw: () => {},

  open() {
    finding.queue = new Queue(id, `${address}/inputs`, () => finding.show(), (form) => finding.take(form));
    frame.follow(() => finding.refresh(), 5_000, (snapshot, now) => finding.show(now));
  },

  async refresh() {
    const answer = await read(address);
    by('problem').hidden = !answer.problem || finding.form !== null;
    if (answer.form) finding.take(answer.form);
    else if (!finding.form) say(by('problem'), `This fault-finding cannot be shown: ${answer.problem}.`);
  },

  take(form) {
    // An answer that was overtaken on its way must not set the page back.
    if (finding.form && form.version < finding.form.version) return;
    finding.form = form;
    finding.show();
  },

  get offline() {
    return finding.queue.offline || frame.live.silence > QUIET_MS;
  },

  show(now = new Date()) {
    words();
    if (!finding.form) return;
    by('of-finding').hidden = false;
    finding.draw(finding.form, now);
  },

  /** The words of a cause. */
  says(cause) {
    return finding.form.causes.find((one) => one.cause === cause)?.says ?? cause;
  },

  /** Puts what a person says in line. */
  tell(body, words) {
    const who = frame.person();
    if (!who) return false;
    finding.queue.add({ seen: finding.form.version, ...body }, words, who);
    return true;
  },
};

function words() {
  const { waiting, refused } = finding.queue;
  const count = `${waiting.length} ${waiting.length === 1 ? 'entry waits' : 'entries wait'}`;
  const { signedOut } = finding.queue;
  const line = by('queue-words');
  line.classList.toggle('offline', finding.offline || signedOut);
  say(line, signedOut ? `SIGNED OUT. ${count} in this page and ${waiting.length === 1 ? 'is' : 'are'} sent once ${waiting[0]?.who ?? 'the same person'} has signed in again.` : finding.offline
    ? `OFFLINE. ${waiting.length ? `${count} in this page and ${waiting.length === 1 ? 'is' : 'are'} sent when the connection is back. Keep the page open.` : 'What you find is kept in this page until the connection is back.'} Whether to keep away cannot be told now: ask the control room before you go near.`
    : waiting.length ? `Sending: ${count}.` : 'Online. All that you said is recorded.');
  by('waiting').hidden = waiting.length === 0;
  keyed(by('waiting'), waiting, (item) => item.body.key, () => element('li'), (row, item) =>
    say(row, `Waits since ${frame.when(item.saidAt)}: ${item.words}`));
  by('refused').hidden = refused.length === 0;
  keyed(by('refused'), refused, (item) => item.body.key, (item) => {
    const row = element('li');
    const again = element('button', 'Say it again, as it stands now', 'big');
    const away = element('button', 'Put it away', 'big');
    again.type = 'button';
    away.type = 'button';
    again.addEventListener('click', () => finding.queue.again(item.body.key, finding.form?.version ?? item.body.seen));
    away.addEventListener('click', () => finding.queue.putAway(item.body.key));
    row.append(element('p', undefined, 'words'), element('p', undefined, 'why'), again, ' ', away);
    return row;
  }, (row, item) => {
    say(row.querySelector('.words'), `Not taken: ${item.words}`);
    say(row.querySelector('.why'), `${sentence(item.problem.detail)} ${sentence(item.problem.remedy)} Nothing was overwritten.`);
  });
}

export const sentence = (text) => (text ? `${text[0].toUpperCase()}${text.slice(1)}${/[.!?]$/.test(text) ? '' : '.'}` : '');

export const left = (iso, now) => span(new Date(iso) - now);
