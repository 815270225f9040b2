// What a stop at a place means: looked up and worded as in `papers/timed/interruption.py`; the page holds the
// table that was made with the track (`where_table.py`).

import {tenthsInSeconds} from "../shared/words.js";

/**
 * What happens in [start, end): heard, given (a silence of the candidates), held (the track waits), between (the
 * author's pause), before the first words, after the last ones; where its question begins, and what begins there;
 * the latest place, in a silence, from which another player goes on.
 * @typedef {[start_ms: number, end_ms: number, happens: string, name: string, back_ms: number, back_to: string,
 *   resume_ms: number]} Where
 */

/** So soon after words they count as cut. */
const EDGE_MS = 100;

/**
 * Return the row of a place; that of words if they have hardly ended.
 * @param {Where[]} table
 * @param {number} at_ms
 */
export function whereAt(table, at_ms) {
  const index = Math.max(0, table.filter(one => one[0] <= at_ms).length - 1);
  const row = table[index], before = table[Math.max(0, index - 1)];
  const isEarly = at_ms - row[0] < EDGE_MS && row[2] !== "heard";
  return isEarly && before[2] === "heard" ? before : row;
}

/**
 * Return what a stop at a place of a row means: what was heard or given, and what is owed.
 * @param {Where} one
 * @param {number} at_ms
 */
export function told([start_ms, end_ms, happens, name], at_ms) {
  const whole = Math.floor((2 * (end_ms - start_ms) + 100) / 200);
  const part = Math.min(whole, Math.floor(Math.max(0, at_ms - start_ms) / 100));
  const of = `${tenthsInSeconds(part)} of ${tenthsInSeconds(whole)} s`;
  const rest = `${tenthsInSeconds(whole - part)} s`;
  if (happens === "heard") return `Stopped during ${name}: ${of} heard, ${rest} still to be heard.`;
  if (happens === "given") return `Stopped during ${name}: ${of} given, ${rest} owed.`;
  if (happens === "held") return `Stopped at ${name}, where the track waits. Nothing was missed.`;
  if (happens === "before") return "Stopped before the first words. Nothing was missed.";
  if (happens === "after") return "Stopped after the last words. Nothing was missed.";
  return `Stopped after ${name}. Nothing was missed.`;
}

/**
 * Return how this page can go on from there, and from where another player does.
 * @param {Where} one
 * @param {number} at_ms
 */
export function choices([, , happens, , , back_to, resume_ms], at_ms) {
  if (happens === "held") return "";
  const rest = happens === "given" ? " to give the rest" : "";
  const other = `On another player: from ${exactPlace(Math.min(at_ms, resume_ms))}.`;
  return `Continue here${rest}, or go back to ${back_to}. ${other}`;
}

/**
 * Return a place to a tenth of a second, never later than it is: "7:13.4".
 * @param {number} ms
 */
export function exactPlace(ms) {
  const tenths = Math.floor(ms / 100);
  const seconds = Math.floor(tenths / 10) % 60;
  return `${Math.floor(tenths / 600)}:${String(seconds).padStart(2, "0")}.${tenths % 10}`;
}
