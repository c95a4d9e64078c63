// What a person said and the gateway has not confirmed yet: kept in order with key and time, sent when there is a connection.

import { session } from './session.js';

const RETRY_MS = 3_000;
const PATIENCE_MS = 20_000;
const LATE_MS = 5_000;

/** A key that nobody else makes. */
export const newKey = () => (crypto.randomUUID ? crypto.randomUUID()
  : [...crypto.getRandomValues(new Uint8Array(16))].map((byte) => byte.toString(16).padStart(2, '0')).join(''));

export class Queue {
  #address;
  #store;
  #changed;
  #taken;
  #sending = false;
  #timer = 0;
  waiting = [];
  refused = [];
  offline = false;
  signedOut = false;

  /**
   * @param name under which what waits is kept over a reload of this window.
   * @param changed called when something waits, was taken or was refused.
   * @param taken called with the answer to what was taken.
   */
  constructor(name, address, changed, taken) {
    this.#address = address;
    this.#store = `oilbird.queue.${name}`;
    this.#changed = changed;
    this.#taken = taken;
    const kept = JSON.parse(sessionStorage.getItem(this.#store) ?? '{}');
    this.waiting = kept.waiting ?? [];
    this.refused = kept.refused ?? [];
    if (this.waiting.length) this.#send();
  }

  /**
   * @param words what it is, for the list of what waits.
   * @param who who says it: nobody else's name may come to stand under it.
   */
  add(body, words, who) {
    const now = new Date().toISOString();
    this.waiting.push({ body: { key: newKey(), ...body }, words, who, saidAt: now, delayed: this.offline || this.signedOut });
    this.#keep();
    this.#send();
  }

  /** Puts away what was refused. */
  putAway(key) {
    this.refused = this.refused.filter((item) => item.body.key !== key);
    this.#keep();
  }

  /** Says it once more, as it is now. */
  again(key, seen) {
    const item = this.refused.find((one) => one.body.key === key);
    if (!item) return;
    this.putAway(key);
    this.add({ ...item.body, key: newKey(), seen, doneAt: item.body.doneAt ?? item.saidAt }, item.words, session.now.name);
  }

  #keep() {
    sessionStorage.setItem(this.#store, JSON.stringify({ waiting: this.waiting, refused: this.refused }));
    this.#changed();
  }

  async #send() {
    if (this.#sending) return;
    this.#sending = true;
    clearTimeout(this.#timer);
    while (this.waiting.length) {
      const item = this.waiting[0];
      const outcome = await this.#post(item);
      if (outcome.later) {
        item.delayed = true;
        this.signedOut = outcome.later === 'signed out';
        this.offline = !this.signedOut;
        this.#keep();
        this.#timer = setTimeout(() => this.#send(), RETRY_MS);
        break;
      }
      this.offline = false;
      this.signedOut = false;
      this.waiting.shift();
      if (outcome.problem) this.refused.push({ ...item, problem: outcome.problem });
      this.#keep();
      if (outcome.form) this.#taken(outcome.form);
    }
    this.#sending = false;
  }

  async #post(item) {
    // What waited is dated by when it was said; what goes at once is dated by the gateway.
    const late = item.delayed || Date.now() - Date.parse(item.saidAt) > LATE_MS;
    const body = late && !item.body.doneAt ? { ...item.body, doneAt: item.saidAt } : item.body;
    if (session.here && session.now.name !== item.who) {
      return { problem: { detail: `${item.who} said this, and now ${session.now.name} is signed in`, remedy: `${item.who} signs in again and says it once more` } };
    }
    try {
      const answer = await fetch(this.#address, {
        method: 'POST',
        headers: { 'Content-Type': 'application/json' },
        body: JSON.stringify(body),
        signal: AbortSignal.timeout(PATIENCE_MS),
      });
      if (answer.ok) return { form: await answer.json() };
      const problem = await answer.json().catch(() => ({}));
      if (answer.status === 401 || (answer.status === 403 && session.now.locked)) return { later: 'signed out' };
      // Not done for a reason that passes: it is tried again under the same key.
      if (answer.status === 503 || answer.status === 502 || answer.status === 504) return { later: 'no answer' };
      return { problem: { detail: problem.detail ?? `the gateway answered ${answer.status}`, remedy: problem.remedy ?? '' } };
    } catch (unreachable) {
      return { later: 'no answer' };
    }
  }
}
