// What the page knows of its track: where we are at a place, and what is still to come.

import {choices, told, whereAt} from "./incident.js";

/**
 * What the writer of the page left for its code. Times in milliseconds; spans are [start, end).
 * @typedef {object} Data
 * @property {string} id mark of the recording's bytes
 * @property {string} sha256 of the recording's bytes
 * @property {string} name of the recording, without its ending
 * @property {string} track name of its file
 * @property {string} check name of the sound check's file, empty if there is none
 * @property {string} type of its sound, as in audio/mpeg
 * @property {boolean} practice
 * @property {number} length_ms
 * @property {number} late_ms how much later than asked for a browser may go on
 * @property {Stretch[]} stretches end to end
 * @property {[kind: string, title: string, start_ms: number][]} entries parts, questions, stops, page turns
 * @property {[start_ms: number, end_ms: number, title: string, is_counted: boolean, is_answer: boolean][]} halts
 *   where the recording waits, or counts a rest; whether candidates write in it
 * @property {number[]} turns when candidates turn the page
 * @property {[start_ms: number, end_ms: number, name: string][]} silences that candidates may see timed
 * @property {[start_ms: number, end_ms: number, lines: string[]][]} cues captions
 * @property {Record<string, string>} words that candidates read, and the language that they are in
 * @property {import("./incident.js").Where[]} where what a stop at each place means
 */

/**
 * A sentence about where we are; `back_ms` is where one begins again. For the candidates: the part, the
 * question as its name, number and of how many, and what to do.
 * @typedef {[start_ms: number, end_ms: number, sentence: string, back_ms: number, part: string,
 *   asked: [name: string, number: string, of: number] | null, doing: string]} Stretch
 */

/** How far into a hold the recording is stopped. */
export const INTO_HOLD_S = 0.2;
/** Silence that is left of a hold when it goes on. */
export const BEFORE_TONE_S = 1;
/** Frames come a little before the sound does; so much too early is not too early. */
const EARLY_S = 0.005;
/** Ends of holds that the invigilator has ended: their numbers. @typedef {Set<number>} Served */

/**
 * Return the number of the last of spans, in order of time, that begins at a place or before it.
 * @template {[number, number, ...unknown[]]} Span
 * @param {Span[]} spans
 * @param {number} ms
 */
function lastBegun(spans, ms) {
  let low = 0;
  let high = spans.length;
  while (low < high) {
    const middle = (low + high) >> 1;
    if (spans[middle][0] <= ms) low = middle + 1;
    else high = middle;
  }
  return low - 1;
}

/**
 * @template {[number, number, ...unknown[]]} Span
 * @param {Span[]} spans
 * @param {number} ms
 * @returns {Span | null}
 */
function spanAt(spans, ms) {
  const found = spans[lastBegun(spans, ms)];
  return found && ms < found[1] ? found : null;
}

export class Track {
  /** @param {Data} data */
  constructor(data) {
    this.data = data;
    this.length_s = data.length_ms / 1000;
    this.late_s = data.late_ms / 1000;
    /** Holds that a person ends; the others count by themselves. */
    this.waiting = new Set(data.halts.map((_, hold) => hold).filter(hold => !data.halts[hold][3]));
  }

  /** @param {number} s */
  stretchAt(s) {
    return spanAt(this.data.stretches, s * 1000) ?? this.data.stretches[this.data.stretches.length - 1];
  }

  /**
   * Return the sentence about a place.
   * @param {number} s
   */
  where(s) {
    return s * 1000 >= this.data.length_ms ? "End" : this.stretchAt(s)[2];
  }

  /**
   * Return where one begins again to hear a whole question.
   * @param {number} s
   */
  backFrom_s(s) {
    return this.stretchAt(s)[3] / 1000;
  }

  /**
   * Return what a stop at a place means, and how to go on.
   * @param {number} s
   */
  told(s) {
    const at_ms = s * 1000;
    const row = whereAt(this.data.where, at_ms);
    return `${told(row, at_ms)} ${choices(row, at_ms)}`.trim();
  }

  /**
   * Return what a stop is called, and whether candidates write in it.
   * @param {number} hold its number
   */
  stopNamed(hold) {
    const [, , title, , isAnswer] = this.data.halts[hold];
    return {title, isAnswer};
  }

  /**
   * Return the rest that is counted at a place, or null.
   * @param {number} s
   */
  countedAt(s) {
    const found = spanAt(this.data.halts, s * 1000);
    return found?.[3] ? found : null;
  }

  /**
   * Return the next stop, rest or page turn after a place, or null.
   * @param {number} s
   * @param {Served} served
   * @returns {{at_s: number, name: string} | null}
   */
  nextAhead(s, served) {
    const {halts, turns} = this.data;
    const stop = halts.find((one, hold) => one[0] > s * 1000 && !served.has(hold));
    const turn_ms = turns.find(start_ms => start_ms > s * 1000);
    if (!stop && turn_ms === undefined) return null;
    if (stop && !(turn_ms !== undefined && turn_ms < stop[0])) {
      return {at_s: stop[0] / 1000, name: stop[3] ? `${stop[2]}, a timed rest` : stop[2]};
    }
    return {at_s: (turn_ms ?? 0) / 1000, name: "page turn"};
  }

  /** @param {number} s */
  cueAt(s) {
    return spanAt(this.data.cues, s * 1000);
  }

  /** @param {number} s */
  silenceAt(s) {
    return spanAt(this.data.silences, s * 1000);
  }

  /**
   * Return the number of the hold at a place that a person ends, -1 if there is none.
   * @param {number} s
   */
  holdAt(s) {
    return this.data.halts.findIndex(one => one[0] <= s * 1000 && s * 1000 < one[1] && !one[3]);
  }

  /**
   * Return the place in a hold where the recording stands while it waits.
   * @param {number} hold
   */
  standIn_s(hold) {
    return this.data.halts[hold][0] / 1000 + INTO_HOLD_S;
  }

  /**
   * Return where it goes on after a hold.
   * @param {number} hold
   */
  after_s(hold) {
    return this.data.halts[hold][1] / 1000 - BEFORE_TONE_S;
  }

  /**
   * Return whether a hold lies before a place.
   * @param {number} hold
   * @param {number} s
   */
  isOver(hold, s) {
    return this.data.halts[hold][1] / 1000 <= s;
  }

  /**
   * Return the holds that lie before a place, or go on there: what follows a stop begins in the silence
   * that is left of its hold.
   * @param {number} s
   * @returns {Served}
   */
  holdsBefore(s) {
    const {halts} = this.data;
    const numbers = halts.map((_, hold) => hold);
    return new Set(numbers.filter(hold => halts[hold][0] < s * 1000 && this.after_s(hold) <= s));
  }

  /**
   * Return the number of the hold that is due, -1 if none is: the one that is reached, or one that was
   * run over since a place, by a computer that hung.
   * @param {number} s where the recording is
   * @param {number} was_s where it was when this was asked last
   * @param {Served} served
   */
  holdDue(s, was_s, served) {
    const here = this.holdAt(s - INTO_HOLD_S + EARLY_S);
    if (here >= 0 && !served.has(here)) return here;
    return this.data.halts.findIndex((_, hold) =>
      this.waiting.has(hold) && !served.has(hold) && this.isOver(hold, s) && !this.isOver(hold, was_s));
  }

  /**
   * Return how long the sound still takes, the rests of holds left out.
   * @param {number} s
   * @param {Served} served
   */
  toCome_s(s, served) {
    let rest_s = this.length_s - s;
    this.data.halts.forEach((_, hold) => {
      const from_s = Math.max(this.standIn_s(hold), s);
      const until_s = this.after_s(hold);
      if (this.waiting.has(hold) && !served.has(hold) && until_s > from_s) rest_s -= until_s - from_s;
    });
    return Math.max(0, rest_s);
  }

  /**
   * Return how many stops are still to come. The one that is being waited at is not.
   * @param {number} s
   * @param {Served} served
   * @param {number} waitingAt number of the hold that is being waited at, -1 if none is
   */
  stopsToCome(s, served, waitingAt) {
    return this.data.halts.filter((_, hold) =>
      this.waiting.has(hold) && hold !== waitingAt && !served.has(hold) && !this.isOver(hold, s)).length;
  }

  /**
   * Return the next time at which something on the page changes, infinite if nothing will.
   * @param {number} ms
   */
  nextChange_ms(ms) {
    const {cues, silences, stretches, halts} = this.data;
    /** @type {[number, number, ...unknown[]][][]} */
    const all = [cues, silences, stretches];
    const times = all.map(spans => {
      const last = lastBegun(spans, ms);
      const now = spans[last];
      if (now && ms < now[1]) return now[1];
      return spans[last + 1]?.[0] ?? Infinity;
    });
    const stands = halts.map(([start_ms]) => start_ms + INTO_HOLD_S * 1000).filter(stand_ms => stand_ms > ms);
    return Math.min(...times, ...stands);
  }
}
