// One run of the test: which stops are done with, for how long it played, and for how long it stood still.

import {isStanding} from "./machine.js";

/** @typedef {import("./machine.js").Phase} Phase */

/**
 * Sums of a run by the steady clock. They add up: what was played and what was stopped is all.
 * @typedef {{here_ms: number, stopped_ms: number, played_ms: number, all_ms: number}} Sums
 */

export class Run {
  constructor() {
    /** When the phase was entered, by the steady clock. */
    this.since_ms = 0;
    /** Whether the test has sounded. */
    this.hasBegun = false;
    /** Holds that the invigilator has ended. @type {import("./track.js").Served} */
    this.served = new Set();
    /** Number of the hold that is being waited at, -1 if none is. */
    this.waitingAt = -1;
    /** Row of the log of the time that is stopped now, -1 if none is. */
    this.row = -1;
    /** When that row began, by the steady clock. */
    this.rowSince_ms = 0;
    /** All stopped times, and all that was played, in phases that are over. */
    this.stopped_ms = 0;
    this.played_ms = 0;
  }

  /** Begin once more: nothing was done with and nothing stood still. */
  reset() {
    const {since_ms} = this;
    Object.assign(this, new Run(), {since_ms});
  }

  /**
   * Note that one phase follows another.
   * @param {Phase} left
   * @param {number} now_ms by the steady clock
   */
  change(left, now_ms) {
    const lasted_ms = now_ms - this.since_ms;
    if (this.hasBegun && left === "playing") this.played_ms += lasted_ms;
    if (this.hasBegun && (isStanding(left) || left === "starting")) this.stopped_ms += lasted_ms;
    this.since_ms = now_ms;
  }

  /**
   * Return the sums by now. Between the press and the first sound the test stands still.
   * @param {Phase} phase
   * @param {number} now_ms
   * @returns {Sums}
   */
  sums(phase, now_ms) {
    const here_ms = this.hasBegun && (isStanding(phase) || phase === "starting") ? now_ms - this.since_ms : 0;
    const stopped_ms = this.stopped_ms + here_ms;
    const played_ms = this.played_ms + (this.hasBegun && phase === "playing" ? now_ms - this.since_ms : 0);
    return {here_ms, stopped_ms, played_ms, all_ms: stopped_ms + played_ms};
  }
}
