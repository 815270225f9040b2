// The candidates' windows: they are told where the test is, and send nothing but that they are there
// and that somebody pressed the space bar.

/**
 * What a candidates' window is told.
 * @typedef {object} State
 * @property {string} pausewright id of the track
 * @property {import("./machine.js").Phase} phase
 * @property {number} place_s
 * @property {number} at when, by the computer's clock
 * @property {boolean} hasCaptions whether captions are to be shown
 */

/** The mark in the address of a window that shows the candidates' screen. */
export const MARK = "#candidates";

export class Windows {
  /** @param {import("./room.js").Room} room */
  constructor(room) {
    this.room = room;
    /** @type {Set<Window>} */
    this.open = new Set();
    this.n_opened = 0;
    window.addEventListener("message", event => this.heard(event));
  }

  /** Open one more. */
  add() {
    this.n_opened += 1;
    const address = `${location.href.split("#")[0]}${MARK}`;
    const opened = window.open(address, `pausewright-${Date.now()}-${this.n_opened}`, "popup,width=1280,height=720");
    if (opened) this.open.add(opened);
    return Boolean(opened);
  }

  /** @param {MessageEvent} event */
  heard({data, source}) {
    if (!(data instanceof Object) || data.pausewright !== this.room.track.data.id || source === window) return;
    const from = /** @type {Window} */ (source);
    if (data.says === "here" && !this.open.has(from)) {
      this.open.add(from);
      this.tell();
    }
    if (data.says === "space" && this.open.has(from)) this.room.hands.space();
  }

  /** Tell all of them how it is now; those that were closed are forgotten. */
  tell() {
    if (!this.open.size) return;
    const {machine, media, track, view} = this.room;
    /** @type {State} */
    const state = {
      pausewright: track.data.id, phase: machine.phase, place_s: media.now_s, at: Date.now(),
      hasCaptions: view.hasCaptions,
    };
    for (const one of this.open) {
      if (one.closed) this.open.delete(one);
      else one.postMessage(state, "*");
    }
  }
}
