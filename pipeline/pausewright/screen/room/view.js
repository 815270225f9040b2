// What is seen of the room screen. It draws; it decides nothing.

import {at, button, element, put} from "../shared/elements.js";
import {clockTime, counted, lengthInWords} from "../shared/words.js";
import {isStanding, isUnderWay} from "./machine.js";

/** @typedef {import("./machine.js").Phase} Phase */

/** @type {Record<Phase, string>} */
const LABELS = {
  loading: "Start", unusable: "Start", asking: "Start", refused: "Start", offered: "Start", ready: "Start",
  trying: "Start", returning: "Start", starting: "Pause", playing: "Pause", paused: "Continue", halted: "Continue",
  ended: "Ended",
};

/** Headings of phases in which the place in the recording does not matter. @type {Partial<Record<Phase, string>>} */
const HEADINGS = {
  loading: "Not ready yet", unusable: "Not ready yet", asking: "Not ready yet",
  refused: "Already open in another window", offered: "Interrupted", ready: "Not started", trying: "Sound test",
  returning: "Sound test", ended: "The end",
};

/** @type {Partial<Record<Phase, string>>} */
const SAYS = {
  ready: "", offered: "", playing: "Playing.", ended: "The recording has ended.",
  refused: "This recording is open in another window or tab of this browser, and only one can play it.",
};

/** @type {readonly Phase[]} */
const NOT_PRESSED = ["loading", "unusable", "asking", "refused", "offered", "trying", "returning"];

export class View {
  /**
   * @param {import("./track.js").Track} track
   * @param {(s: number) => void} visit called in practice, when somebody chooses a line of the list
   */
  constructor(track, visit) {
    this.track = track;
    this.isPractice = track.data.practice;
    /** Caption that is shown. @type {unknown} */
    this.caption = null;
    /** Heading that is shown. */
    this.heading = "";
    /** Sentences before the start, by what they are about. @type {Map<string, {text: string, isBad: boolean}>} */
    this.checks = new Map();
    this.buildEntries(visit);
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
    put(main, phase === "ended" && this.isPractice ? "Start" : LABELS[phase]);
    main.disabled = NOT_PRESSED.includes(phase) || (phase === "ended" && !this.isPractice);
    const isStill = isStanding(phase);
    at("again").hidden = phase !== "offered";
    at("before").hidden = phase === "offered" || phase === "starting" || phase === "ended" || isUnderWay(phase);
    button("try").disabled = !["ready", "trying", "returning"].includes(phase);
    if (phase !== "asking") at("look-again").hidden = phase !== "refused";
    at("reasons").hidden = this.isPractice || !isStill;
    at("reason-part").hidden = at("from-question-part").hidden = phase !== "paused";
    this.showTimed(phase, s);
    this.showEntries(phase, s);
    if (focused?.closest("[hidden]")) main.focus({preventScroll: true});
  }

  /** @param {string} text */
  say(text) {
    put(at("says"), text);
  }

  /** @param {string} text what does not work, empty if all does */
  trouble(text) {
    put(at("trouble"), text);
  }

  // ---- what follows the sound

  /**
   * @param {Phase} phase
   * @param {number} s
   */
  showTimed(phase, s) {
    this.showCaption(phase, s);
    if (document.getElementById("time")) this.showSilence(isUnderWay(phase) ? this.track.silenceAt(s) : null, s * 1000);
    const heading = HEADINGS[phase] ?? this.track.where(s);
    if (heading !== this.heading) {
      this.heading = heading;
      at("where").textContent = heading;
      this.showEntries(phase, s);
    }
  }

  /**
   * @param {Phase} phase
   * @param {number} s
   */
  showCaption(phase, s) {
    const caption = document.getElementById("caption");
    if (!caption) return;
    const cue = isUnderWay(phase) && !caption.hidden ? this.track.cueAt(s) : null;
    if (cue === this.caption) return;
    this.caption = cue;
    caption.replaceChildren(...(cue ? cue[2] : []).map(text => {
      const line = document.createElement("span");
      line.textContent = text;
      return line;
    }));
  }

  /**
   * Show what is left of a silence, where the script declares that candidates may see it.
   * @param {[start_ms: number, end_ms: number, name: string] | null} silence
   * @param {number} ms
   */
  showSilence(silence, ms) {
    at("time").classList.toggle("off", !silence);
    if (!silence) {
      put(at("time-says"), "");
      return;
    }
    const [start_ms, end_ms, name] = silence;
    const left_s = Math.ceil((end_ms - ms) / 1000);
    const isCalm = matchMedia("(prefers-reduced-motion: reduce)").matches;
    const rest_ms = isCalm ? left_s * 1000 : end_ms - ms;
    put(at("time-says"), `${name}: ${lengthInWords(left_s)} left.`);
    at("fill").style.width = `${Math.min(100, 100 * rest_ms / (end_ms - start_ms))}%`;
  }

  // ---- the list of parts and questions

  /** @param {(s: number) => void} visit */
  buildEntries(visit) {
    at("entries").replaceChildren(...this.track.data.entries.map(([kind, title, start_ms]) => {
      const item = document.createElement("li");
      item.className = kind;
      const name = document.createElement(this.isPractice ? "button" : "span");
      name.textContent = title;
      if (name instanceof HTMLButtonElement) {
        name.type = "button";
        name.addEventListener("click", () => visit(start_ms / 1000));
      }
      const state = document.createElement("span");
      state.className = "unseen";
      item.append(name, state);
      return item;
    }));
  }

  /**
   * @param {Phase} phase
   * @param {number} s
   */
  showEntries(phase, s) {
    const isOver = phase === "ended";
    const hasBegun = isOver || phase === "starting" || isUnderWay(phase);
    const begun = this.track.data.entries.filter(one => one[2] <= s * 1000 + 50).length;
    const current = hasBegun && !isOver ? begun - 1 : -1;
    [...at("entries").children].forEach((item, index) => {
      const isPast = hasBegun && (isOver || index < current);
      item.classList.toggle("past", isPast);
      const state = item.querySelector(".unseen");
      if (state) state.textContent = isPast ? " (played)" : index === current ? " (now)" : "";
      if (index === current) item.setAttribute("aria-current", "true");
      else item.removeAttribute("aria-current");
    });
  }

  // ---- the clock

  /**
   * Show when the recording would end, and for how long it has stood still.
   * @param {Phase} phase
   * @param {number} toCome_s how long the sound still takes
   * @param {number} stops that are still to come
   * @param {{here_ms: number, all_ms: number}} standing
   */
  showClock(phase, toCome_s, stops, standing) {
    if (phase === "ready" || isUnderWay(phase)) {
      const end = Date.now() + toCome_s * 1000;
      const time = document.createElement("time");
      time.dateTime = new Date(end).toISOString();
      time.textContent = clockTime(end, false);
      const first = phase === "ready" ? "If you start now it ends at about "
        : phase === "playing" ? "It ends at about " : "If you continue now it ends at about ";
      at("ends").replaceChildren(first, time, stops ? `, plus your time at ${counted(stops, "stop")}.` : ".");
    } else {
      at("ends").replaceChildren();
    }
    const parts = [];
    if (standing.here_ms) parts.push(`Stopped for ${lengthInWords(standing.here_ms / 1000)}.`);
    if (standing.all_ms >= 500) parts.push(`Time stopped so far: ${lengthInWords(standing.all_ms / 1000)}.`);
    put(at("stopped"), parts.join(" "));
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

  /** @param {string} text where it was interrupted */
  offer(text) {
    at("again-says").textContent = text;
    at("again-sure").hidden = true;
  }

  /** Make room for the reason of a new pause. */
  clearReason() {
    element("reason", HTMLSelectElement).value = "";
    element("detail", HTMLInputElement).value = "";
  }
}
