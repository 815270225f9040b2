// Only one page of a track may play. Pages of one track ask each other, and the one that holds the
// track leaves a mark that it renews; a mark that nobody renews is void.

const ANSWER_MS = 300;
const FRESH_MS = 2500;
const LONGEST_MS = 3500;

/** @typedef {{say: "who" | "held", from: string}} Message */

export class OnlyOne {
  /** @param {string} id of the track */
  constructor(id) {
    this.key = `pausewright/${id}/holder`;
    this.me = `${Date.now()}-${Math.random().toString(36).slice(2)}`;
    this.isHolder = false;
    this.isRefused = false;
    this.isAsking = false;
    /** @type {BroadcastChannel | null} */
    this.channel = null;
    try {
      this.channel = new BroadcastChannel(`pausewright/${id}`);
      this.channel.onmessage = event => this.heard(event.data);
    } catch { /* the mark alone must do */ }
  }

  /** @param {Message} message */
  heard(message) {
    if (message.from === this.me) return;
    if (message.say === "who" && (this.isHolder || (this.isAsking && this.me < message.from))) this.say("held");
    if (message.say === "held" && !this.isHolder) this.isRefused = true;
  }

  /** @param {Message["say"]} what */
  say(what) {
    this.channel?.postMessage({say: what, from: this.me});
  }

  /** @returns {{me: string, at: number} | null} */
  mark() {
    try { return JSON.parse(localStorage.getItem(this.key) ?? "null"); } catch { return null; }
  }

  renew() {
    if (!this.isHolder) return;
    try { localStorage.setItem(this.key, JSON.stringify({me: this.me, at: Date.now()})); } catch { /* told at open */ }
  }

  /** Return whether this page may play. */
  async ask() {
    if (this.isHolder) return true;
    this.isRefused = false;
    this.isAsking = true;
    const since = performance.now();
    for (;;) {
      this.say("who");
      await new Promise(go => setTimeout(go, ANSWER_MS));
      if (this.isRefused) break;
      const mark = this.mark();
      const isFresh = mark && mark.me !== this.me && Math.abs(Date.now() - mark.at) < FRESH_MS;
      if (!isFresh) {
        this.isHolder = true;
        break;
      }
      if (performance.now() - since > LONGEST_MS) break;
    }
    this.isAsking = false;
    this.renew();
    return this.isHolder;
  }

  leave() {
    if (!this.isHolder) return;
    this.isHolder = false;
    try { localStorage.removeItem(this.key); } catch { /* void by itself */ }
  }
}
