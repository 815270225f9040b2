// The candidates' screen in a window of its own, for the projector. It plays nothing and decides nothing: the
// invigilator's window tells it where the test is, and between two words of it this one counts on.

import {at} from "../shared/elements.js";
import {everyTick} from "../shared/ticks.js";
import {CandidatesScreen} from "./candidates.js";
import {setUpCaptionLook} from "./caption_look.js";

const TICK_MS = 50;
const HELLO_MS = 1000;
/** Without a word for so long, the invigilator's window is gone or opened again. */
const LOST_MS = 1500;
/** The longest time without a look. */
const LONGEST_MS = 500;

export class CandidatesWindow {
  /** @param {import("./track.js").Track} track */
  constructor(track) {
    this.track = track;
    this.screen = new CandidatesScreen(track);
    /** What was told last. @type {import("./windows.js").State | null} */
    this.state = null;
    this.heardAt = -Infinity;
    this.helloAt = -Infinity;
    this.boundary = 0;
  }

  setUp() {
    at("staff").remove();
    at("candidates").hidden = false;
    document.body.classList.add("candidates");
    document.title = `Candidates’ screen: ${document.title}`;
    setUpCaptionLook(this.track.data.words);
    window.addEventListener("message", event => {
      if (event.source !== window.opener || event.data?.pausewright !== this.track.data.id) return;
      this.state = event.data;
      this.heardAt = performance.now();
      this.look();
      this.schedule();
    });
    document.addEventListener("keydown", event => {
      const onButton = event.target instanceof Element && event.target.closest("button, summary");
      if (event.key !== " " || event.repeat || onButton) return;
      event.preventDefault();
      this.say("space");
    });
    everyTick(TICK_MS, () => this.tick());
    const frame = () => {
      this.look();
      requestAnimationFrame(frame);
    };
    requestAnimationFrame(frame);
  }

  /** @param {"here" | "space"} says */
  say(says) {
    window.opener?.postMessage({pausewright: this.track.data.id, says}, "*");
  }

  tick() {
    const now = performance.now();
    if (now - this.heardAt > LOST_MS && now - this.helloAt > HELLO_MS) {
      this.helloAt = now;
      this.say("here");
    }
    this.look();
  }

  get isLost() {
    return performance.now() - this.heardAt > LOST_MS;
  }

  /** Where the recording is by now. */
  get place_s() {
    if (!this.state) return 0;
    const {at: told_ms, phase, place_s} = this.state;
    return place_s + (phase === "playing" ? Math.min(LOST_MS, Math.max(0, Date.now() - told_ms)) / 1000 : 0);
  }

  look() {
    this.screen.hasCaptions = this.state?.hasCaptions ?? false;
    const phase = !this.state ? "loading" : this.isLost && this.state.phase === "playing" ? "paused" : this.state.phase;
    this.screen.draw(phase, this.place_s);
  }

  /** Look again when the next thing changes, not only with the screen's frames. */
  schedule() {
    clearTimeout(this.boundary);
    if (this.state?.phase !== "playing" || this.isLost) return;
    const ms = this.place_s * 1000;
    const wait_ms = Math.max(1, Math.min(LONGEST_MS, this.track.nextChange_ms(ms) - ms));
    this.boundary = setTimeout(() => { this.look(); this.schedule(); }, wait_ms);
  }
}
