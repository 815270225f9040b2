// Only one page of a track may play. Pages of one track ask each other, and the one that holds the
// track leaves a mark that it renews; a mark that nobody renews is void.
class OnlyOne {
  constructor(id) {
    this.key = `pausewright/${id}/holder`;
    this.me = `${Date.now()}-${Math.random().toString(36).slice(2)}`;
    this.isHolder = false;
    this.isRefused = false;
    try {
      this.channel = new BroadcastChannel(`pausewright/${id}`);
      this.channel.onmessage = event => this.heard(event.data);
    } catch { this.channel = null; }
  }

  heard(message) {
    if (message.from === this.me) return;
    if (message.say === "who" && (this.isHolder || (this.isAsking && this.me < message.from))) {
      this.channel.postMessage({say: "held", from: this.me});
    }
    if (message.say === "held" && !this.isHolder) this.isRefused = true;
  }

  mark() {
    try { return JSON.parse(localStorage.getItem(this.key)); } catch { return null; }
  }

  renew() {
    if (!this.isHolder) return;
    try { localStorage.setItem(this.key, JSON.stringify({me: this.me, at: Date.now()})); } catch { /* told at open */ }
  }

  // Return whether this page may play.
  async ask() {
    if (this.isHolder) return true;
    this.isRefused = false;
    this.isAsking = true;
    const since = performance.now();
    for (;;) {
      if (this.channel) this.channel.postMessage({say: "who", from: this.me});
      await new Promise(go => setTimeout(go, 300));
      if (this.isRefused) break;
      const mark = this.mark();
      const isFresh = mark && mark.me !== this.me && Math.abs(Date.now() - mark.at) < 2500;
      if (!isFresh) {
        this.isHolder = true;
        break;
      }
      if (performance.now() - since > 3500) break;
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
