// What is seen of the invigilator's screen. It draws; it decides nothing.

import {at, button, element, put} from "../shared/elements.js";
import {clockTime, counted, exactLength, lengthInWords, placeTime, wholeSeconds} from "../shared/words.js";
import {EntryList} from "./entry_list.js";
import {isStanding, isUnderWay} from "./machine.js";

/** @typedef {import("./machine.js").Phase} Phase */

/** The large button: always what is to be done next. @type {Record<Phase, string>} */
const LABELS = {
  loading: "Looking …", unusable: "Cannot start", asking: "Looking …", refused: "Look again",
  offered: "Continue at this place", untested: "Test the sound", trying: "Stop the sound test", ready: "Start the test",
  starting: "Pause", playing: "Pause", paused: "Continue", halted: "Continue", ended: "Ended",
};

/** The smaller button beside it. @type {Partial<Record<Phase, string>>} */
const SECOND = {
  untested: "Start without a sound test", ready: "Test the sound again",
  paused: "Go back to the start of this question", offered: "Go back to the start of this question",
};

/** Headings of phases in which the place in the recording does not matter. @type {Partial<Record<Phase, string>>} */
const HEADINGS = {
  loading: "Not ready yet", unusable: "Cannot start", asking: "Not ready yet",
  refused: "Already open in another window", offered: "The test was interrupted", untested: "Not started",
  trying: "Sound test", ready: "Not started", ended: "The end",
};

/** @type {Partial<Record<Phase, string>>} */
const SAYS = {
  untested: "Set the sound low, then test it.", ready: "Start when everybody is ready.",
  loading: "", unusable: "See below what is wrong.", asking: "",
  refused: "This recording is open in another window or tab of this browser, and only one can play it. Close the other one, then look again.",
};

/** @type {readonly Phase[]} */
const NOT_PRESSED = ["loading", "unusable", "asking"];

export class View {
  /**
   * @param {import("./track.js").Track} track
   * @param {(s: number) => void} visit called in practice, when somebody chooses a line of the list
   */
  constructor(track, visit) {
    this.track = track;
    this.isPractice = track.data.practice;
    /** Whether captions are to be shown on the candidates' screens. */
    this.hasCaptions = true;
    /** Sentences before the start, by what they are about. @type {Map<string, {text: string, isBad: boolean}>} */
    this.checks = new Map();
    this.list = new EntryList(track, this.isPractice, visit);
  }

  /**
   * Show a phase at a place.
   * @param {Phase} phase
   * @param {number} s
   */
  show(phase, s) {
    const focused = document.activeElement;
    const says = SAYS[phase];
    if (says !== undefined) this.say(says);
    const main = button("main");
    const isOver = phase === "ended" && !this.isPractice;
    put(main, phase === "ended" && this.isPractice ? "Start again" : LABELS[phase]);
    main.disabled = NOT_PRESSED.includes(phase) || isOver;
    main.hidden = isOver;
    const second = SECOND[phase];
    button("second").hidden = !second;
    if (second) put(button("second"), second);
    button("restart").hidden = at("restart-says").hidden = phase !== "offered";
    at("offer").hidden = phase !== "offered";
    at("repeat-says").hidden = phase !== "paused" && phase !== "offered";
    at("before").hidden = !["loading", "unusable", "asking", "refused", "untested", "trying", "ready"].includes(phase);
    at("reasons").hidden = this.isPractice || !isStanding(phase);
    at("reason-part").hidden = phase !== "paused";
    at("times").hidden = !isUnderWay(phase) && !["untested", "trying", "ready", "starting", "ended"].includes(phase);
    document.body.dataset.phase = phase;
    this.showPlace(phase, s);
    this.list.show(phase, s);
    this.keepFocus(focused);
  }

  /**
   * What had the focus and is gone gives it to the large button, or to the heading: never to nothing.
   * @param {Element | null} focused
   */
  keepFocus(focused) {
    if (!focused || focused === document.body) return;
    const isGone = !focused.isConnected || focused.closest("[hidden]")
      || (focused instanceof HTMLButtonElement && focused.disabled);
    if (isGone && at("candidates").hidden) this.focusMain();
  }

  focusMain() {
    const main = button("main");
    const to = main.disabled || main.hidden ? at("where") : main;
    to.focus({preventScroll: true});
  }

  /** @param {string} text */
  say(text) {
    put(at("says"), text);
  }

  /** @param {string} text what does not work, empty if all does */
  trouble(text) {
    put(at("trouble"), text);
  }

  /**
   * @param {Phase} phase
   * @param {number} s
   */
  showPlace(phase, s) {
    const heading = HEADINGS[phase] ?? this.track.where(s);
    if (at("where").textContent === heading) return;
    at("where").textContent = heading;
    this.list.show(phase, s);
  }

  // ---- times

  /**
   * Show what has passed, what is left, when it ends, and what comes next.
   * @param {Phase} phase
   * @param {number} s
   * @param {import("./run.js").Run} run
   * @param {import("./run.js").Sums} sums
   */
  showTimes(phase, s, run, sums) {
    const {track} = this;
    const at_s = phase === "ended" ? track.length_s : isUnderWay(phase) || phase === "starting" ? s : 0;
    const toCome_s = phase === "ended" ? 0 : track.toCome_s(at_s, run.served);
    const stops = phase === "ended" ? 0 : track.stopsToCome(at_s, run.served, run.waitingAt);
    put(at("track-gone"), placeTime(at_s));
    put(at("track-left"), placeTime(wholeSeconds(track.length_s) - wholeSeconds(at_s)));
    put(at("test-gone"), placeTime(sums.all_ms / 1000));
    put(at("test-left"), phase === "ended" ? placeTime(0)
      : `${placeTime(toCome_s)}${stops ? ` and ${counted(stops, "stop")}` : ""}`);
    at("track-fill").style.width = `${100 * at_s / track.length_s}%`;
    this.showNext(phase, at_s, run);
    this.showEnd(phase, toCome_s, stops);
    put(at("stopped"), this.stopped(phase, sums));
  }

  /**
   * @param {Phase} phase
   * @param {number} s
   * @param {import("./run.js").Run} run
   */
  showNext(phase, s, run) {
    const rest = phase === "playing" ? this.track.countedAt(s) : null;
    const next = phase === "ended" ? null : this.track.nextAhead(s, run.served);
    if (rest) {
      put(at("next"), `${rest[2]}, a timed rest: it ends by itself in ${placeTime(Math.ceil(rest[1] / 1000 - s))}. Do not press Pause for it.`);
    } else if (next) {
      put(at("next"), `Next: ${next.name}, at ${placeTime(next.at_s)} of the track, in ${placeTime(wholeSeconds(next.at_s) - wholeSeconds(s))}.`);
    } else {
      put(at("next"), phase === "ended" ? "" : "Next: the end.");
    }
  }

  /**
   * @param {Phase} phase
   * @param {number} toCome_s how long the sound still takes
   * @param {number} stops that are still to come
   */
  showEnd(phase, toCome_s, stops) {
    if (!isUnderWay(phase) && !["untested", "trying", "ready"].includes(phase)) {
      at("ends").replaceChildren();
      return;
    }
    const end = Date.now() + toCome_s * 1000;
    const time = document.createElement("time");
    time.dateTime = new Date(end).toISOString();
    time.textContent = clockTime(end, false);
    const first = phase === "playing" ? "It ends at about "
      : isUnderWay(phase) ? "If you continue now it ends at about " : "If you start now it ends at about ";
    at("ends").replaceChildren(first, time, stops ? `, plus your time at ${counted(stops, "stop")}.` : ".");
  }

  /**
   * @param {Phase} phase
   * @param {import("./run.js").Sums} sums
   */
  stopped(phase, {here_ms, stopped_ms}) {
    const parts = [];
    if (isStanding(phase)) parts.push(`Stopped for ${lengthInWords(here_ms / 1000)}.`);
    if (stopped_ms >= 500) parts.push(`Time stopped so far: ${lengthInWords(stopped_ms / 1000)}.`);
    return parts.join(" ");
  }

  /**
   * Return what the log comes to, in a sentence.
   * @param {import("./run.js").Sums} sums
   */
  sums({played_ms, stopped_ms, all_ms}) {
    return all_ms < 1 ? "" : `Since the start: ${exactLength(all_ms)}, of which ${exactLength(played_ms)} were played and ${exactLength(stopped_ms)} stopped.`;
  }

  // ---- before the start

  /**
   * Say how something is before the start, in place of what was said of it before.
   * @param {string} name what it is about
   * @param {string} text nothing is said if it is empty
   */
  check(name, text, isBad = false) {
    if (text) this.checks.set(name, {text, isBad});
    else this.checks.delete(name);
    at("checks").replaceChildren(...[...this.checks.values()].map(one => {
      const item = document.createElement("li");
      if (one.isBad) item.className = "warn";
      item.textContent = one.text;
      return item;
    }));
  }

  /** @param {number} volume from 0 to 1 */
  showLevel(volume) {
    const level = Math.round(volume * 100);
    element("level", HTMLInputElement).value = String(level);
    put(at("level-says"), `${level} of 100`);
  }

  /** @param {string} text where it was interrupted, and what that means */
  offer(text) {
    at("offer").textContent = text;
    at("restart-says").textContent = "";
  }

  /** Make room for the reason of a new pause, and say what was missed and is owed. */
  clearReason() {
    element("reason", HTMLSelectElement).value = "";
    element("detail", HTMLInputElement).value = "";
  }

  /** @param {string} text what a stop at this place means, empty if it does not stand still */
  incident(text) {
    put(at("incident"), text);
  }
}
