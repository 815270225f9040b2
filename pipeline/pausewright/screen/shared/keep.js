// Keeping the place: in localStorage, which outlives a page, and in IndexedDB, which outlives a
// browser that is killed (localStorage reaches the disk seconds later). What was written last is
// known by its number. A write that the system holds outlives a killed browser; only a power cut
// needs it on the disk itself, and that is asked for a few times a second, to spare the disk.

const FLUSH_MS = 200;
const LATE_MS = 3000;

/** @typedef {{number: number, value: any}} Held */

/**
 * Return what a promise gives, or fail when it takes too long.
 * @template T
 * @param {Promise<T>} promise
 * @returns {Promise<T>}
 */
function inTime(promise) {
  return Promise.race([
    promise,
    /** @type {Promise<T>} */ (new Promise((_, bad) => setTimeout(() => bad(new Error("late")), LATE_MS))),
  ]);
}

export class Keep {
  /** @param {string} id of the track */
  constructor(id) {
    this.name = `pausewright/${id}`;
    /** @type {IDBDatabase | null} */
    this.db = null;
    this.isWriting = false;
    /** @type {Map<string, Held>} */
    this.waiting = new Map();
    this.number = 0;
    this.flushedAt = -Infinity;
    /** Whether a write was kept nowhere since this was asked last, for example on a full disk. */
    this.hasFailed = false;
    this.isPageFull = false;
  }

  /** Return whether a value written to each of the two came back. */
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
      this.db = await inTime(this.opened());
      const mark = Math.random();
      await inTime(this.put(this.db, "try", mark));
      disk = await inTime(this.get(this.db, "try")) === mark;
    } catch {
      this.db = null;
    }
    return {page, disk};
  }

  /** @returns {Promise<IDBDatabase>} */
  opened() {
    return new Promise((good, bad) => {
      const asked = indexedDB.open(this.name, 1);
      asked.onupgradeneeded = () => asked.result.createObjectStore("kept");
      asked.onsuccess = () => good(asked.result);
      asked.onerror = () => bad(asked.error);
      asked.onblocked = () => bad(new Error("blocked"));
    });
  }

  /**
   * @param {IDBDatabase} db
   * @param {string} key
   * @param {any} value
   * @returns {Promise<void>}
   */
  put(db, key, value) {
    const isDue = performance.now() - this.flushedAt >= FLUSH_MS;
    if (isDue) this.flushedAt = performance.now();
    return new Promise((good, bad) => {
      const durability = isDue ? "strict" : "relaxed";
      const writing = db.transaction("kept", "readwrite", {durability});
      writing.objectStore("kept").put(value, key);
      writing.oncomplete = () => good();
      writing.onerror = writing.onabort = () => bad(writing.error);
    });
  }

  /**
   * @param {IDBDatabase} db
   * @param {string} key
   * @returns {Promise<any>}
   */
  get(db, key) {
    return new Promise((good, bad) => {
      const asked = db.transaction("kept").objectStore("kept").get(key);
      asked.onsuccess = () => good(asked.result);
      asked.onerror = () => bad(asked.error);
    });
  }

  /**
   * Return the newest value of a key, or null.
   * @param {string} key
   */
  async newest(key) {
    /** @type {Held[]} */
    const found = [];
    try { found.push(JSON.parse(localStorage.getItem(`${this.name}/${key}`) ?? "null")); } catch { /* none */ }
    if (this.db) {
      try { found.push(await inTime(this.get(this.db, key))); } catch { /* none */ }
    }
    const newest = found.filter(one => one && Number.isFinite(one.number))
      .sort((a, b) => b.number - a.number)[0];
    if (newest) this.number = Math.max(this.number, newest.number);
    return newest ? newest.value : null;
  }

  /**
   * Write a value to both; a write to the disk that is still under way is followed by the newest.
   * @param {string} key
   * @param {any} value
   */
  write(key, value) {
    this.number += 1;
    const held = {number: this.number, value};
    try {
      localStorage.setItem(`${this.name}/${key}`, JSON.stringify(held));
      this.isPageFull = false;
    } catch {
      this.isPageFull = true;
    }
    if (!this.db && this.isPageFull) this.hasFailed = true;
    if (this.db) {
      this.waiting.set(key, held);
      this.drain(this.db);
    }
  }

  /** @param {IDBDatabase} db */
  async drain(db) {
    if (this.isWriting) return;
    this.isWriting = true;
    for (const [key, held] of this.waiting) {
      this.waiting.delete(key);
      try { await this.put(db, key, held); } catch { if (this.isPageFull) this.hasFailed = true; }
    }
    this.isWriting = false;
  }
}
