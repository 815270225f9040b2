// One run of the test: which stops are done with, and for how long it has stood still.

import {isStanding} from "./machine.js";

export class Run {
  constructor() {
    /** When the phase was entered, by the computer's clock. */
    this.since = 0;
    /** How long the phase that was left last had lasted. */
    this.lasted_ms = 0;
    /** Holds that the invigilator has ended. @type {import("./track.js").Served} */
    this.served = new Set();
    /** Number of the hold that is being waited at, -1 if none is. */
    this.waitingAt = -1;
    /** Row of the log of the pause that lasts, -1 if none does. */
    this.pauseRow = -1;
    /** All pauses and stops that are over. */
    this.stopped_ms = 0;
  }

  /** Begin once more: nothing was done with and nothing stood still. */
  reset() {
    const {served, waitingAt, pauseRow, stopped_ms} = new Run();
    Object.assign(this, {served, waitingAt, pauseRow, stopped_ms});
  }

  /**
   * Note that one phase follows another.
   * @param {import("./machine.js").Phase} left
   * @param {number} now by the computer's clock
   */
  change(left, now) {
    this.lasted_ms = now - this.since;
    if (isStanding(left)) this.stopped_ms += this.lasted_ms;
    this.since = now;
  }

  /**
   * Return how long it has stood still by now, in this phase and in all.
   * @param {import("./machine.js").Phase} phase
   * @param {number} now
   */
  standing(phase, now) {
    const here_ms = isStanding(phase) ? now - this.since : 0;
    return {here_ms, all_ms: this.stopped_ms + here_ms};
  }
}
