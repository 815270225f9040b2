// The log: what happened and when, by the computer's clock.

import {at, button} from "./elements.js";
import {clockTime, dayOf, placeTime} from "./words.js";

/**
 * One thing that happened. `place_s` is null where no recording plays.
 * @typedef {{at: number, place_s: number | null, where: string, what: string, reason: string, detail: string}} Entry
 */

const HEAD = ["date", "clock", "clock (UTC)", "place", "place in seconds", "where", "what", "reason", "detail"];

/** @param {Entry} entry */
function place(entry) {
  return entry.place_s === null ? "" : placeTime(entry.place_s);
}

/** @param {Entry} entry */
function what(entry) {
  const why = [entry.reason, entry.detail].filter(Boolean).join(": ");
  return why ? `${entry.what} (${why})` : entry.what;
}

/**
 * Return a cell of a table for any spreadsheet, which cannot take it for a formula.
 * @param {string} text
 */
function cell(text) {
  const safe = /^[=+\-@\t\r]/.test(text) ? `'${text}` : text;
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
   */
  add(happened, place_s, where) {
    this.entries.push({at: Date.now(), place_s, where, what: happened, reason: "", detail: ""});
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

  show() {
    at("log-table").hidden = !this.entries.length;
    at("log-empty").hidden = Boolean(this.entries.length);
    at("log-rows").replaceChildren(...this.entries.map(entry => {
      const row = document.createElement("tr");
      for (const text of [`${dayOf(entry.at)} ${clockTime(entry.at)}`,
        `${place(entry)} ${entry.where}`.trim(), what(entry)]) {
        const td = document.createElement("td");
        td.textContent = text;
        row.append(td);
      }
      return row;
    }));
  }

  csv() {
    const rows = this.entries.map(e => [dayOf(e.at), clockTime(e.at), new Date(e.at).toISOString(),
      place(e), e.place_s === null ? "" : e.place_s.toFixed(3), e.where, e.what, e.reason, e.detail]);
    return "\ufeff" + [HEAD, ...rows].map(row => row.map(cell).join(",")).join("\r\n") + "\r\n";
  }

  text() {
    const heading = ["h1", "header p"].map(one => document.querySelector(one)?.textContent ?? "");
    const rows = this.entries.map(e =>
      [`${dayOf(e.at)} ${clockTime(e.at)}`, place(e), e.where, "–", what(e)].filter(Boolean).join("  "));
    return [...heading, "", ...rows, ""].join("\r\n");
  }
}
