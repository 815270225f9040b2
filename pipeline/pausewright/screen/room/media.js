// The recording in the browser: it plays from a place, is silent, and lets nobody else move it.

const LONGEST_SEEK_MS = 3000;
const LONGEST_LOAD_MS = 20000;
const SLOW_MS = 1500;
/** Sound that stands still for so long is lost. */
const STUCK_MS = 4000;

/**
 * What the recording tells the page.
 * @typedef {object} Ear
 * @property {(event: "sounds" | "stopped" | "stuck" | "failed" | "soundless" | "over") => void} happened
 * @property {(isSlow: boolean) => void} slow
 */

export class Media {
  /**
   * @param {HTMLAudioElement} audio
   * @param {import("./track.js").Track} track
   * @param {Ear} ear
   */
  constructor(audio, track, ear) {
    this.audio = audio;
    this.track = track;
    this.isPractice = track.data.practice;
    /** Last place that was played. */
    this.place_s = 0;
    /** Jumps of ours that are under way. */
    this.jumps = 0;
    this.ear = ear;
    audio.addEventListener("ended", () => ear.happened("over"));
    audio.addEventListener("pause", () => { if (!audio.ended) ear.happened("stopped"); });
    audio.addEventListener("play", () => ear.happened("sounds"));
    audio.addEventListener("error", () => ear.happened(isOutputLost(audio.error) ? "soundless" : "failed"));
    audio.addEventListener("seeking", () => this.holdPlace());
    audio.addEventListener("ratechange", () => { if (!this.isPractice && audio.playbackRate !== 1) audio.playbackRate = 1; });
    audio.addEventListener("waiting", () => this.watchSlowness());
    audio.addEventListener("playing", () => ear.slow(false));
  }

  /** Where the recording is, in seconds. */
  get now_s() {
    return this.audio.currentTime;
  }

  /** Whether a jump that is not ours is under way: where the recording is then is no place that was played. */
  get isDisplaced() {
    return this.audio.seeking && !this.jumps && !this.isPractice;
  }

  /** Undo a jump that is not ours; in practice anybody may jump. */
  holdPlace() {
    if (this.jumps || this.isPractice) return;
    if (Math.abs(this.audio.currentTime - this.place_s) > 0.3) this.audio.currentTime = this.place_s;
  }

  watchSlowness() {
    const since_s = this.now_s;
    const stands = () => !this.audio.paused && this.now_s === since_s;
    setTimeout(() => { if (stands()) this.ear.slow(true); }, SLOW_MS);
    setTimeout(() => { if (stands()) this.ear.happened("stuck"); }, STUCK_MS);
  }

  /** Take the recording out of the page itself, where it holds one. */
  takeHeld() {
    const held = document.getElementById("held");
    if (!held) return;
    this.audio.src = heldSound(held, this.track.data.type);
  }

  /**
   * Wait until the length is known.
   * @returns {Promise<void>}
   */
  loaded() {
    const {audio} = this;
    audio.preload = "auto";
    audio.load();
    return new Promise((good, bad) => {
      if (audio.readyState >= 1) { good(); return; }
      if (audio.error) { bad(new Error("error")); return; }
      audio.addEventListener("loadedmetadata", () => good(), {once: true});
      audio.addEventListener("error", () => bad(new Error("error")), {once: true});
      setTimeout(() => bad(new Error("late")), LONGEST_LOAD_MS);
    });
  }

  /**
   * Go to a place; what is returned is done when the browser is there.
   * @param {number} s
   */
  async jump(s) {
    const {audio} = this;
    this.jumps += 1;
    this.place_s = Math.max(0, Math.min(s, this.track.length_s));
    await new Promise(done => {
      audio.addEventListener("seeked", done, {once: true});
      audio.currentTime = this.place_s;
      setTimeout(done, LONGEST_SEEK_MS);
    });
    this.jumps -= 1;
    this.place_s = audio.currentTime;
  }

  /** Read the recording anew after an error, and go to where it was: what was wrong may be mended. */
  async openAgain() {
    const place_s = this.place_s;
    this.jumps += 1;
    try {
      await this.loaded();
      await this.jump(place_s);
    } finally {
      this.jumps -= 1;
    }
  }

  /** Play; return why the browser would not, empty if it does. */
  async play() {
    try {
      if (this.audio.error) await this.openAgain();
      await this.audio.play();
      return "";
    } catch (error) {
      return error instanceof Error ? error.name : String(error);
    }
  }

  /** @param {number} speed 1 is as recorded; the pitch stays */
  setSpeed(speed) {
    this.audio.preservesPitch = true;
    this.audio.playbackRate = speed;
  }

  hush() {
    this.audio.pause();
  }
}

/** What browsers write where not the file but the computer's sound output fails: Firefox (seen), Chromium (from memory). */
const OUTPUT_FAILS = /MediaSink|AUDIO_RENDERER/i;

/**
 * Return whether an error of a sound is that of the computer's sound output, not of the file.
 * @param {{message: string} | null} error
 */
export function isOutputLost(error) {
  return OUTPUT_FAILS.test(error?.message ?? "");
}

/**
 * Return the address of a sound that stands inside the page, and take it out.
 * @param {HTMLElement} held
 * @param {string} type
 */
export function heldSound(held, type) {
  const bytes = Uint8Array.from(atob(held.textContent ?? ""), sign => sign.charCodeAt(0));
  held.remove();
  return URL.createObjectURL(new Blob([bytes], {type}));
}
