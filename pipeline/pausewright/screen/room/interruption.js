// The place is kept while the test is under way; after a crash, a power cut or a reload it is offered.

import {clockTime, dayOf, lengthInWords, placeTime} from "../shared/words.js";
import {isStanding, isUnderWay} from "./machine.js";

/**
 * The place as it is kept.
 * @typedef {object} Kept
 * @property {number} place_s
 * @property {import("./machine.js").Phase} phase
 * @property {number} at when, by the computer's clock
 * @property {number} [played_ms] what was played by then
 * @property {number} [stopped_ms] all pauses and stops by then, the one that lasted included
 * @property {number} [row] of the log, of the pause that lasted
 * @property {number} [lasted_ms] how long that had lasted
 * @property {number[]} [served] holds that the invigilator has ended
 * @property {number} [level]
 */

/** So near its end nothing is offered. */
const NEAR_END_S = 0.2;

export class Interruption {
  /** @param {import("./room.js").Room} room */
  constructor(room) {
    this.room = room;
    /** The place that was kept before this page was opened. @type {Kept} */
    this.last = {place_s: 0, phase: "ended", at: 0};
  }

  keepPlace() {
    const {keep, machine, media, run, steady} = this.room;
    const {phase} = machine;
    if (!isUnderWay(phase) && phase !== "ended") return;
    const now_ms = steady.now_ms;
    const {played_ms, stopped_ms} = run.sums(phase, now_ms);
    /** @type {Kept} */
    const kept = {
      place_s: media.now_s, phase, at: Date.now(), played_ms, stopped_ms, row: run.row,
      lasted_ms: now_ms - run.rowSince_ms, served: [...run.served], level: media.audio.volume,
    };
    keep.write("place", kept);
  }

  /** Read what was kept; return whether the test was interrupted. */
  async lookBack() {
    const {keep, log, track} = this.room;
    log.load(await keep.newest("log"));
    this.last = await keep.newest("place") ?? this.last;
    const {phase, place_s} = this.last;
    return phase !== "ended" && place_s > 0 && place_s < track.length_s - NEAR_END_S && !track.data.practice;
  }

  offer() {
    const {at, phase, place_s} = this.last;
    const {track, view} = this.room;
    const back_s = track.backFrom_s(place_s);
    const stood = isStanding(phase) ? "It stood still there" : "It was playing";
    view.say("Nothing plays until you choose.");
    view.offer(`${stood} on ${dayOf(at)} at ${clockTime(at)}, ${placeTime(place_s)} into the track: ${track.where(place_s)}. ${track.told(place_s)} Going back to the start of the question means ${lengthInWords(Math.ceil(place_s - back_s))} once more.`);
  }

  /** From the beginning: what was before stays in the log. */
  forget() {
    const {keep, playing, run} = this.room;
    playing.note("set back to the beginning", this.last.place_s);
    keep.write("place", {place_s: 0, phase: "ended", at: Date.now()});
    run.reset();
  }

  /** Take up what was kept: its sums, its stops, the time since then as one that is stopped. */
  resume() {
    const {log, playing, run, soundTest, steady, track} = this.room;
    const {at, lasted_ms, level, place_s, played_ms = 0, row = -1, served = [], stopped_ms = 0} = this.last;
    const now_ms = steady.now_ms;
    const gap_ms = Math.max(0, Date.now() - at);
    run.hasBegun = true;
    run.served = new Set(served);
    run.played_ms = played_ms;
    run.stopped_ms = stopped_ms + gap_ms;
    if (level) soundTest.setLevel(level);
    if (row >= 0) log.change(row, {lasted_ms: lasted_ms ?? 0});
    run.row = playing.note("the page was closed or failed", place_s, {at, told: track.told(place_s)});
    run.rowSince_ms = now_ms - gap_ms;
  }

  async resumeHere() {
    const {media, playing, run, send, track} = this.room;
    const {phase, place_s} = this.last;
    this.resume();
    playing.coming = {what: "continued at exactly this place", from_s: place_s};
    if (!await playing.gone(Math.max(0, isUnderWay(phase) ? place_s - track.late_s : place_s))) return;
    const hold = track.holdAt(media.now_s + track.late_s);
    if (hold >= 0 && !run.served.has(hold)) send("stop", {hold});
    else playing.play();
  }

  resumeQuestion() {
    this.resume();
    this.room.playing.coming = null;
    this.room.playing.goOnFromQuestion(this.last.place_s);
  }
}
