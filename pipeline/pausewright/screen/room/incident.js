// What a stop at a place means: worded as in `where_table.py`, whose table the page holds.

import {tenthsInSeconds} from "../shared/words.js";

/**
 * What happens in [start, end): heard, given (a silence of the candidates), between (the author's pause),
 * held (the track waits); where its question begins, and what begins there.
 * @typedef {[start_ms: number, end_ms: number, happens: string, name: string, back_ms: number, back_to: string]} Where
 */

/**
 * Return what a stop at a place of a row means.
 * @param {Where} one
 * @param {number} at_ms
 */
export function told([start_ms, end_ms, happens, name, , back_to], at_ms) {
  const whole = Math.floor((2 * (end_ms - start_ms) + 100) / 200);
  const part = Math.min(whole, Math.floor(Math.max(0, at_ms - start_ms) / 100));
  const of = `${tenthsInSeconds(part)} of ${tenthsInSeconds(whole)} s`;
  const rest = `${tenthsInSeconds(whole - part)} s`;
  const back = `go back to ${back_to}`;
  if (happens === "heard") {
    return `Stopped during ${name}: ${of} heard, ${rest} still to be heard. Continue here, or ${back}.`;
  }
  if (happens === "given") {
    return `Stopped during ${name}: ${of} given, ${rest} owed. Continue here to give the rest, or ${back}.`;
  }
  if (happens === "held") return `Stopped at ${name}, where the track waits. Nothing was missed.`;
  return `Stopped after ${name}. Nothing was missed. Continue here, or ${back}.`;
}
