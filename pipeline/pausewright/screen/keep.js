"use strict";
// Keeping the place: in localStorage, which outlives a page, and in IndexedDB, which outlives a
// browser that is killed (localStorage reaches the disk seconds later). What was written last is
// known by its number. A write that the system holds outlives a killed browser; only a power cut
// needs it on the disk itself, and that is asked for a few times a second, to spare the disk.
const FLUSH_MS = 200;
class Keep {
  constructor(id) {
    this.name = `pausewright/${id}`;
    this.db = null;
    this.isWriting = false;
    this.waiting = new Map();
    this.number = 0;
    this.flushedAt = -Infinity;
  }

  // Return whether a value written to each of the two came back: {page, disk}.
  async open() {
    let page = false;
    try {
      const mark = String(Math.random());
      localStorage.setItem(`${this.name}/try`, mark);
      page = localStorage.getItem(`${this.name}/try`) === mark;
      localStorage.removeItem(`${this.name}/try`);
    } catch { page = false; }
    let disk = false;
    try {
      this.db = await this.within(3000, new Promise((good, bad) => {
        const asked = indexedDB.open(this.name, 1);
        asked.onupgradeneeded = () => asked.result.createObjectStore("kept");
        asked.onsuccess = () => good(asked.result);
        asked.onerror = () => bad(asked.error);
        asked.onblocked = () => bad(new Error("blocked"));
      }));
      const mark = Math.random();
      await this.within(3000, this.put("try", mark));
      disk = await this.within(3000, this.get("try")) === mark;
    } catch {
      this.db = null;
    }
    return {page, disk};
  }

  within(most_ms, promise) {
    return Promise.race([promise, new Promise((_, bad) => setTimeout(() => bad(new Error("late")), most_ms))]);
  }

  put(key, value) {
    const isDue = performance.now() - this.flushedAt >= FLUSH_MS;
    if (isDue) this.flushedAt = performance.now();
    return new Promise((good, bad) => {
      const durability = isDue ? "strict" : "relaxed";
      const writing = this.db.transaction("kept", "readwrite", {durability});
      writing.objectStore("kept").put(value, key);
      writing.oncomplete = () => good();
      writing.onerror = writing.onabort = () => bad(writing.error);
    });
  }

  get(key) {
    return new Promise((good, bad) => {
      const asked = this.db.transaction("kept").objectStore("kept").get(key);
      asked.onsuccess = () => good(asked.result);
      asked.onerror = () => bad(asked.error);
    });
  }

  // Return the newest value of a key, or null.
  async newest(key) {
    const found = [];
    try { found.push(JSON.parse(localStorage.getItem(`${this.name}/${key}`))); } catch { /* none */ }
    if (this.db) {
      try { found.push(await this.within(3000, this.get(key))); } catch { /* none */ }
    }
    const newest = found.filter(one => one && Number.isFinite(one.number))
      .sort((a, b) => b.number - a.number)[0];
    if (newest) this.number = Math.max(this.number, newest.number);
    return newest ? newest.value : null;
  }

  // Write a value to both; a write to the disk that is still under way is followed by the newest.
  write(key, value) {
    this.number += 1;
    const held = {number: this.number, value};
    try { localStorage.setItem(`${this.name}/${key}`, JSON.stringify(held)); } catch { /* told at open */ }
    if (this.db) {
      this.waiting.set(key, held);
      this.drain();
    }
  }

  async drain() {
    if (this.isWriting) return;
    this.isWriting = true;
    while (this.waiting.size) {
      const [key, held] = this.waiting.entries().next().value;
      this.waiting.delete(key);
      try { await this.put(key, held); } catch { /* the next write tries again */ }
    }
    this.isWriting = false;
  }
}

// Call often and evenly. A worker's clock goes on where a page in the background is slowed down.
function everyTick(ms, call) {
  try {
    const code = `setInterval(() => postMessage(0), ${ms});`;
    const worker = new Worker(URL.createObjectURL(new Blob([code], {type: "text/javascript"})));
    worker.onmessage = call;
    worker.onerror = () => { worker.terminate(); setInterval(call, ms); };
  } catch {
    setInterval(call, ms);
  }
}
