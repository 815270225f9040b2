// What has to be done at exact times: captions and times come and go, the recording stops at holds.

import {everyTick} from "../shared/ticks.js";
import {exactLength} from "../shared/words.js";
import {stayAwake} from "./awake.js";
import {isStanding, isUnderWay} from "./machine.js";

/** How often the place is kept: 20 times a second. */
const TICK_MS = 50;
/** A clock that jumps by more while nothing played: a closed lid. */
const ASLEEP_MS = 2000;
/** The longest time without a look. */
const LONGEST_MS = 500;

export class Clockwork {
  /** @param {import("./room.js").Room} room */
  constructor(room) {
    this.room = room;
    this.boundary = 0;
    /** When the last tick was, and where the recording was then. */
    this.last = {at: Date.now(), steady_ms: 0, place_s: 0};
  }

  start() {
    everyTick(TICK_MS, () => this.tick());
    const frame = () => {
      this.look();
      requestAnimationFrame(frame);
    };
    requestAnimationFrame(frame);
  }

  /** The recording sounds from now on. */
  wake() {
    this.last = {at: Date.now(), steady_ms: this.room.steady.now_ms, place_s: this.room.media.now_s};
    this.schedule();
  }

  /** Called often: draws captions and times, stops at holds. */
  look() {
    const {machine, media, run, send, track} = this.room;
    const s = media.now_s;
    if (machine.phase === "playing" && !media.isDisplaced) {
      const hold = track.holdDue(s, media.place_s, run.served);
      if (hold >= 0) send("stop", {hold});
      else media.place_s = s;
    }
    this.room.draw();
  }

  /** Look again when the next thing changes, not only with the screen's frames. */
  schedule() {
    const {machine, media, track} = this.room;
    clearTimeout(this.boundary);
    if (machine.phase !== "playing") return;
    const ms = media.now_s * 1000;
    const wait_ms = Math.max(1, Math.min(LONGEST_MS, (track.nextChange_ms(ms) - ms) / media.audio.playbackRate));
    this.boundary = setTimeout(() => { this.look(); this.schedule(); }, wait_ms);
  }

  tick() {
    const {interruption, machine, media, only, send, steady, windows} = this.room;
    const before = this.last;
    const now = this.last = {at: Date.now(), steady_ms: steady.now_ms, place_s: media.now_s};
    const passed_ms = now.steady_ms - before.steady_ms;
    const played_ms = 1000 * (now.place_s - before.place_s);
    const jump_ms = steady.takeJump();
    if (machine.phase === "playing" && passed_ms > ASLEEP_MS && played_ms < passed_ms - ASLEEP_MS) {
      send("asleep", {since: before.at});
    } else if (jump_ms) {
      this.noteClock(jump_ms);
    }
    this.look();
    if (machine.phase === "playing") interruption.keepPlace();
    windows.tell();
    if (Math.floor(now.at / 1000) !== Math.floor(before.at / 1000)) {
      only.renew();
      this.room.showClock();
      this.room.showWhetherKept();
      if (isStanding(machine.phase)) interruption.keepPlace();
    }
  }

  /** @param {number} jump_ms by how much the computer's clock has jumped */
  noteClock(jump_ms) {
    const {log, machine, media, track} = this.room;
    if (!isUnderWay(machine.phase)) return;
    const what = jump_ms < 0 ? "the computer’s clock was set back" : "the computer slept, or its clock was set forward";
    log.add(`${what} by ${exactLength(Math.abs(jump_ms))}`, media.now_s, track.where(media.now_s));
  }

  /** The page comes to the front: the screen may be kept awake again. */
  shown() {
    if (this.room.machine.phase === "playing") stayAwake();
  }
}
