// The log: what happened and when, by the computer's clock, and how long each pause lasted.

import {at, button} from "./elements.js";
import {clockTime, dayOf, exactLength, placeTime} from "./words.js";

/**
 * One thing that happened.
 * @typedef {object} Entry
 * @property {number} at when, by the computer's clock
 * @property {number | null} place_s where in the recording; null where none plays
 * @property {string} where the same in words
 * @property {string} what
 * @property {string} reason
 * @property {string} detail
 * @property {string} told what a stop there means
 * @property {number | null} lasted_ms of what lasts: a pause, a stop, a time that was cut
 * @property {number} moved_ms by how much the recording was moved: below 0 what is heard once more
 */

const HEAD = [
  "date", "clock", "clock (UTC)", "place", "place in seconds", "where", "what", "length in seconds",
  "moved in seconds", "reason", "detail", "missed and owed",
];

/** @param {Entry} entry */
function place(entry) {
  return entry.place_s === null ? "" : placeTime(entry.place_s);
}

/** @param {Entry} entry */
function what(entry) {
  const why = [entry.reason, entry.detail].filter(Boolean).join(": ");
  return [why ? `${entry.what} (${why})` : entry.what, entry.told].filter(Boolean).join(". ");
}

/** @param {Entry} entry */
function lasted(entry) {
  return entry.lasted_ms === null ? "" : exactLength(entry.lasted_ms);
}

/**
 * Return a cell of a table for any spreadsheet, which cannot take it for a formula.
 * @param {string} text
 */
function cell(text) {
  const safe = /^[=+\-@\t\r]/.test(text) && !/^-\d+(\.\d+)?$/.test(text) ? `'${text}` : text;
  return `"${safe.replaceAll('"', '""')}"`;
}

/**
 * @param {string} name
 * @param {string} text
 * @param {string} type
 */
function saveAs(name, text, type) {
  const link = document.createElement("a");
  link.href = URL.createObjectURL(new Blob([text], {type}));
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60000);
}

export class Log {
  /**
   * @param {import("./keep.js").Keep} keep
   * @param {string} name of the files that it is saved to, without their ending
   */
  constructor(keep, name) {
    this.keep = keep;
    /** @type {Entry[]} */
    this.entries = [];
    /** What it comes to, in a sentence. */
    this.sums = "";
    button("save-csv").addEventListener("click", () => saveAs(`${name}.csv`, this.csv(), "text/csv"));
    button("save-text").addEventListener("click", () => saveAs(`${name}.txt`, this.text(), "text/plain"));
  }

  /** @param {unknown} entries as they were kept before this page was opened */
  load(entries) {
    if (Array.isArray(entries)) this.entries.unshift(...entries);
    this.show();
  }

  /**
   * Add what happens now and return the number of its row.
   * @param {string} happened
   * @param {number | null} place_s
   * @param {string} where
   * @param {Partial<Entry>} [more]
   */
  add(happened, place_s, where, more = {}) {
    this.entries.push({
      at: Date.now(), place_s, where, what: happened, reason: "", detail: "", told: "", lasted_ms: null,
      moved_ms: 0, ...more,
    });
    this.changed();
    return this.entries.length - 1;
  }

  /**
   * @param {number} row
   * @param {Partial<Entry>} changes
   */
  change(row, changes) {
    if (!this.entries[row]) return;
    Object.assign(this.entries[row], changes);
    this.changed();
  }

  changed() {
    this.keep.write("log", this.entries);
    this.show();
  }

  /** @param {string} sentence what it comes to */
  sum(sentence) {
    if (sentence === this.sums) return;
    this.sums = sentence;
    at("log-sums").textContent = sentence;
  }

  show() {
    at("log-table").hidden = !this.entries.length;
    at("log-empty").hidden = Boolean(this.entries.length);
    let day = "";
    at("log-rows").replaceChildren(...this.entries.map(entry => {
      const row = document.createElement("tr");
      const isNewDay = dayOf(entry.at) !== day;
      day = dayOf(entry.at);
      for (const text of [`${isNewDay ? `${day} ` : ""}${clockTime(entry.at)}`,
        `${place(entry)} ${entry.where}`.trim(), what(entry), lasted(entry)]) {
        const td = document.createElement("td");
        td.textContent = text;
        row.append(td);
      }
      return row;
    }));
  }

  csv() {
    const seconds = (/** @type {number | null} */ ms) => ms === null ? "" : (ms / 1000).toFixed(3);
    const rows = this.entries.map(e => [
      dayOf(e.at), clockTime(e.at), new Date(e.at).toISOString(), place(e),
      e.place_s === null ? "" : e.place_s.toFixed(3), e.where, e.what, seconds(e.lasted_ms),
      e.moved_ms ? seconds(e.moved_ms) : "", e.reason, e.detail, e.told,
    ]);
    return "\ufeff" + [HEAD, ...rows].map(row => row.map(cell).join(",")).join("\r\n") + "\r\n";
  }

  text() {
    const heading = ["h1", "header p"].map(one => document.querySelector(one)?.textContent ?? "");
    const rows = this.entries.map(e => [
      `${dayOf(e.at)} ${clockTime(e.at)}`, place(e), e.where, "–", what(e), lasted(e),
    ].filter(Boolean).join("  "));
    return [...heading, "", ...rows, "", this.sums, ""].join("\r\n");
  }
}
