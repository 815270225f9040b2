// What the page knows of its track: where we are at a place, and what is still to come.

/**
 * What the writer of the page left for its code. Times in milliseconds; spans are [start, end).
 * @typedef {object} Data
 * @property {string} id mark of the recording's bytes
 * @property {string} name of the recording, without its ending
 * @property {string} track name of its file
 * @property {string} type of its sound, as in audio/mpeg
 * @property {boolean} practice
 * @property {number} length_ms
 * @property {number} late_ms how much later than asked for a browser may go on
 * @property {[start_ms: number, end_ms: number, sentence: string, back_ms: number][]} stretches end to end;
 *   `back_ms` is where one begins again
 * @property {[kind: string, title: string, start_ms: number][]} entries parts, questions, stops
 * @property {[start_ms: number, end_ms: number, title: string][]} halts where the recording waits
 * @property {[start_ms: number, end_ms: number, name: string][]} silences that candidates may see timed
 * @property {[start_ms: number, end_ms: number, lines: string[]][]} cues captions
 * @property {[start_ms: number, end_ms: number] | null} first_words the first instruction
 */

/** How far into a hold the recording is stopped. */
export const INTO_HOLD_S = 0.2;
/** Silence that is left of a hold when it goes on. */
export const BEFORE_TONE_S = 1;
/** Frames come a little before the sound does; so much too early is not too early. */
const EARLY_S = 0.005;
/** Ends of holds that the invigilator has ended: their numbers. @typedef {Set<number>} Served */

/**
 * @template {[number, number, ...unknown[]]} Span
 * @param {Span[]} spans
 * @param {number} ms
 * @returns {Span | null}
 */
const spanAt = (spans, ms) => spans.find(one => one[0] <= ms && ms < one[1]) ?? null;

export class Track {
  /** @param {Data} data */
  constructor(data) {
    this.data = data;
    this.length_s = data.length_ms / 1000;
    this.late_s = data.late_ms / 1000;
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

  /** @param {number} s */
  cueAt(s) {
    return spanAt(this.data.cues, s * 1000);
  }

  /** @param {number} s */
  silenceAt(s) {
    return spanAt(this.data.silences, s * 1000);
  }

  /**
   * Return the number of the hold at a place, -1 if there is none.
   * @param {number} s
   */
  holdAt(s) {
    return this.data.halts.findIndex(one => one[0] <= s * 1000 && s * 1000 < one[1]);
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
   * Return the holds that lie before a place.
   * @param {number} s
   * @returns {Served}
   */
  holdsBefore(s) {
    return new Set(this.data.halts.map((_, hold) => hold).filter(hold => this.isOver(hold, s)));
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
      !served.has(hold) && this.isOver(hold, s) && !this.isOver(hold, was_s));
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
      if (!served.has(hold) && until_s > from_s) rest_s -= until_s - from_s;
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
      hold !== waitingAt && !served.has(hold) && !this.isOver(hold, s)).length;
  }

  /**
   * Return the next time at which something on the page changes, infinite if nothing will.
   * @param {number} ms
   */
  nextChange_ms(ms) {
    const {cues, silences, stretches, halts} = this.data;
    const times = [cues, silences, stretches].map(spans => {
      const one = spans.find(span => span[1] > ms);
      return one ? (one[0] > ms ? one[0] : one[1]) : Infinity;
    });
    const stands = halts.map(([start_ms]) => start_ms + INTO_HOLD_S * 1000).filter(stand_ms => stand_ms > ms);
    return Math.min(...times, ...stands);
  }
}
