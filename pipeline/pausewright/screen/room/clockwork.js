// What has to be done at exact times: captions and times come and go, the recording stops at holds.

import {everyTick} from "../shared/ticks.js";
import {stayAwake} from "./awake.js";
import {isStanding} from "./machine.js";

/** How often the place is kept: 20 times a second. */
const TICK_MS = 50;
/** A clock that jumps by more while nothing played: a closed lid. */
const ASLEEP_S = 2;
/** The longest time without a look. */
const LONGEST_MS = 500;

export class Clockwork {
  /** @param {import("./room.js").Room} room */
  constructor(room) {
    this.room = room;
    this.boundary = 0;
    /** When the last tick was, and where the recording was then. */
    this.last = {at: Date.now(), place_s: 0};
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
    this.last = {at: Date.now(), place_s: this.room.media.now_s};
    this.schedule();
  }

  /** Called often: draws captions and times, stops at holds. */
  look() {
    const {machine, media, run, send, soundTest, track, view} = this.room;
    const s = media.now_s;
    if (machine.phase === "playing") {
      const hold = track.holdDue(s, media.place_s, run.served);
      if (hold >= 0) send("stop", {hold});
      else media.place_s = s;
    }
    if (machine.phase === "trying" && s * 1000 >= soundTest.end_ms) send("tested");
    view.showTimed(machine.phase, media.now_s);
  }

  /** Look again when the next thing changes, not only with the screen's frames. */
  schedule() {
    const {machine, media, soundTest, track} = this.room;
    clearTimeout(this.boundary);
    if (machine.phase !== "playing" && machine.phase !== "trying") return;
    const ms = media.now_s * 1000;
    const next_ms = Math.min(track.nextChange_ms(ms), machine.phase === "trying" ? soundTest.end_ms : Infinity);
    const wait_ms = Math.max(1, Math.min(LONGEST_MS, (next_ms - ms) / media.audio.playbackRate));
    this.boundary = setTimeout(() => { this.look(); this.schedule(); }, wait_ms);
  }

  tick() {
    const {interruption, machine, media, only, send} = this.room;
    const before = this.last;
    const now = this.last = {at: Date.now(), place_s: media.now_s};
    const jumped_s = (now.at - before.at) / 1000;
    const played_s = now.place_s - before.place_s;
    if (machine.phase === "playing" && jumped_s > ASLEEP_S && played_s < jumped_s - ASLEEP_S) {
      send("asleep", {since: before.at});
    }
    this.look();
    if (machine.phase === "playing") interruption.keepPlace();
    if (Math.floor(now.at / 1000) !== Math.floor(before.at / 1000)) {
      only.renew();
      this.room.showClock();
      if (isStanding(machine.phase)) interruption.keepPlace();
    }
  }

  /** The page comes to the front: the screen may be kept awake again. */
  shown() {
    if (this.room.machine.phase === "playing") stayAwake();
  }
}
