// The steps of reading aloud: each in words, and all of them as a clean copy on paper.

import {at} from "../shared/elements.js";
import {lengthInWords, placeTime} from "../shared/words.js";

/**
 * One step. `kind` is say, play, wait (a silence) or signal (candidates are waited for).
 * @typedef {[kind: string, text: string, printed: string, speaker: string, where: string, length_ms: number,
 *   start_ms: number, part: string]} Line
 */

/** @param {number} ms */
export function seconds(ms) {
  const s = ms / 1000;
  return Number.isInteger(s) || s >= 60 ? lengthInWords(s) : `${s.toFixed(1)} seconds`;
}

/** @param {Line} line */
export function toldLine(line) {
  return line[0] === "wait" ? `${line[1]}: ${seconds(line[5])}` : line[1];
}

/**
 * Return an element with words.
 * @param {string} tag
 * @param {string} words
 */
function made(tag, words) {
  const found = document.createElement(tag);
  found.textContent = words;
  return found;
}

/** @param {string} part */
function table(part) {
  const found = document.createElement("table");
  const caption = made("caption", part || "Steps");
  caption.className = "unseen";
  found.append(caption);
  const row = document.createElement("tr");
  for (const words of ["Time", "Step", "In the room"]) {
    const head = made("th", words);
    head.setAttribute("scope", "col");
    row.append(head);
  }
  const head = document.createElement("thead");
  head.append(row);
  found.append(head, document.createElement("tbody"));
  return found;
}

/**
 * Write all steps for paper, a table for each part.
 * @param {Line[]} lines
 */
export function writeSteps(lines) {
  /** @type {HTMLTableElement | null} */
  let current = null;
  let part = "";
  for (const line of lines) {
    if (!current || line[7] !== part) {
      part = line[7];
      if (part) at("steps").append(made("h3", part));
      current = table(part);
      at("steps").append(current);
    }
    const row = document.createElement("tr");
    const words = `${line[3] ? `${line[3]}: ` : ""}${toldLine(line)}${line[2] ? ` (printed: ${line[2]})` : ""}`;
    row.append(made("td", placeTime(line[6] / 1000)), made("td", words), made("td", ""));
    if (line[0] !== "say") row.children[1].classList.add("soft");
    current.tBodies[0].append(row);
  }
}
