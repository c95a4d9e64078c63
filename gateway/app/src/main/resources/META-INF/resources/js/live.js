// The line to the gateway: one event stream that says that something changed, one request that says what.

import { session } from './session.js';

const SNAPSHOT = 'api/v1/needs-someone';
const STREAM = 'api/v1/live';
const GATHER_MS = 150;
const REFRESH_MS = 10_000;
const RETRY_MS = 2_000;

export class Live {
  #onSnapshot;
  #lastWord = performance.now();
  #heardOnce = false;
  #newestEvent = -1;
  #pending = 0;
  #fetching = false;
  #again = false;

  constructor(onSnapshot) {
    this.#onSnapshot = onSnapshot;
  }

  start() {
    this.#open();
    this.refresh();
    setInterval(() => this.refresh(), REFRESH_MS);
  }

  /** Milliseconds since the gateway last said anything, by a clock that never steps. */
  get silence() {
    return performance.now() - this.#lastWord;
  }

  get heardOnce() {
    return this.#heardOnce;
  }

  #open() {
    // Whoever is signed out asks for nothing but who is signed in, until somebody is.
    if (session.now.kind === 'nobody') {
      setTimeout(() => this.#open(), RETRY_MS);
      return;
    }
    const stream = new EventSource(STREAM);
    const changed = () => {
      this.refresh();
    };
    for (const name of ['alarm', 'notice', 'diagnosis', 'keep-away', 'access', 'fault-finding', 'gap']) stream.addEventListener(name, changed);
    stream.addEventListener('alive', (event) => {
      this.#heard();
      if (JSON.parse(event.data).newestEvent !== this.#newestEvent) changed();
    });
    stream.addEventListener('error', () => {
      if (stream.readyState === EventSource.CLOSED) {
        session.look();
        setTimeout(() => this.#open(), RETRY_MS);
      }
    });
    stream.addEventListener('open', changed);
  }

  #heard() {
    this.#lastWord = performance.now();
    this.#heardOnce = true;
  }

  refresh() {
    if (this.#pending) return;
    this.#pending = setTimeout(() => {
      this.#pending = 0;
      this.#fetch();
    }, GATHER_MS);
  }

  async #fetch() {
    if (this.#fetching) {
      this.#again = true;
      return;
    }
    if (session.now.kind === 'nobody') return;
    this.#fetching = true;
    try {
      const answer = await fetch(SNAPSHOT, { cache: 'no-store', signal: AbortSignal.timeout(5_000) });
      if (answer.ok) {
        const snapshot = await answer.json();
        this.#heard();
        this.#newestEvent = snapshot.newestEvent;
        this.#onSnapshot(snapshot);
      } else if (answer.status === 401) {
        session.look();
      }
    } catch (unreachable) {
      // The age of the last word says it in the banner; the next refresh tries again.
    } finally {
      this.#fetching = false;
      if (this.#again) {
        this.#again = false;
        this.refresh();
      }
    }
  }
}
