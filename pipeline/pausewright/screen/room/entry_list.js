// The list of parts, questions, stops and page turns, each with its time on the track.

import {at} from "../shared/elements.js";
import {placeTime} from "../shared/words.js";
import {isUnderWay} from "./machine.js";

export class EntryList {
  /**
   * @param {import("./track.js").Track} track
   * @param {boolean} isPractice
   * @param {(s: number) => void} visit called in practice, when somebody chooses a line
   */
  constructor(track, isPractice, visit) {
    this.entries = track.data.entries;
    at("entries").replaceChildren(...this.entries.map(([kind, title, start_ms]) => {
      const item = document.createElement("li");
      item.className = kind;
      const time = document.createElement("span");
      time.className = "at";
      time.textContent = placeTime(start_ms / 1000);
      const name = document.createElement(isPractice ? "button" : "span");
      name.textContent = title;
      if (name instanceof HTMLButtonElement) {
        name.type = "button";
        name.addEventListener("click", () => visit(start_ms / 1000));
      }
      const state = document.createElement("span");
      state.className = "unseen";
      item.append(time, " ", name, state);
      return item;
    }));
  }

  /**
   * @param {import("./machine.js").Phase} phase
   * @param {number} s
   */
  show(phase, s) {
    const isOver = phase === "ended";
    const hasBegun = isOver || phase === "starting" || isUnderWay(phase);
    const begun = this.entries.filter(one => one[2] <= s * 1000 + 50).length;
    const current = hasBegun && !isOver ? begun - 1 : -1;
    [...at("entries").children].forEach((item, index) => {
      const isPast = hasBegun && (isOver || index < current);
      item.classList.toggle("past", isPast);
      const state = item.querySelector(".unseen");
      if (state) state.textContent = isPast ? " (played)" : index === current ? " (now)" : "";
      if (index === current && !item.hasAttribute("aria-current")) {
        item.setAttribute("aria-current", "true");
        this.bringIntoSight(item);
      } else if (index !== current) {
        item.removeAttribute("aria-current");
      }
    });
  }

  /**
   * Scroll the list, and never the page.
   * @param {Element} item
   */
  bringIntoSight(item) {
    const list = at("entries");
    const line = item.getBoundingClientRect();
    const around = list.getBoundingClientRect();
    if (line.top < around.top || line.bottom > around.bottom) {
      list.scrollTop += line.top - around.top - around.height / 3;
    }
  }
}
