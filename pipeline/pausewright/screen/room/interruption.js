// The place is kept while the test is under way; after a crash, a power cut or a reload it is offered.

import {clockTime, dayOf, placeTime} from "../shared/words.js";
import {isUnderWay} from "./machine.js";

/**
 * The place as it is kept.
 * @typedef {object} Kept
 * @property {number} place_s
 * @property {import("./machine.js").Phase} phase
 * @property {number} at when, by the computer's clock
 * @property {number} [paused_ms] all pauses and stops that were over
 * @property {number} [stopped_ms] the one that was not
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
    const {keep, machine, media, run} = this.room;
    const {phase} = machine;
    if (!isUnderWay(phase) && phase !== "ended") return;
    /** @type {Kept} */
    const kept = {
      place_s: media.now_s, phase, at: Date.now(), paused_ms: run.stopped_ms,
      stopped_ms: run.standing(phase, Date.now()).here_ms, served: [...run.served], level: media.audio.volume,
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
    const {at, place_s} = this.last;
    this.room.view.offer(`It was at ${placeTime(place_s)} (${this.room.track.where(place_s)}) on ${dayOf(at)} at ${clockTime(at)}. Choose how to go on; nothing plays until you do.`);
  }

  forget() {
    this.room.playing.note("set back to the beginning", this.last.place_s);
    this.room.keep.write("place", {place_s: 0, phase: "ended", at: Date.now()});
  }

  /** @param {import("./machine.js").Event} event how to go on */
  resume(event) {
    const {playing, run, soundTest} = this.room;
    const {at, level, paused_ms = 0, place_s, served = [], stopped_ms = 0} = this.last;
    run.served = new Set(served);
    run.stopped_ms = paused_ms + stopped_ms + Math.max(0, Date.now() - at);
    if (level) soundTest.setLevel(level);
    const how = event === "here" ? "continued at exactly this place" : "continued from the start of this question";
    playing.note(`the page was closed or failed at ${clockTime(at)}; ${how}`, place_s);
  }

  async goOnHere() {
    const {media, playing, run, send, track} = this.room;
    const {phase, place_s} = this.last;
    if (!await playing.gone(Math.max(0, isUnderWay(phase) ? place_s - track.late_s : place_s))) return;
    const hold = track.holdAt(media.now_s + track.late_s);
    if (hold >= 0 && !run.served.has(hold)) send("stop", {hold});
    else playing.play();
  }
}
