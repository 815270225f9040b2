// What the reader presses. To go on is a press; to end a silence early the press must be held.

import {at, button} from "../shared/elements.js";
import {giveBackFocus} from "../shared/focus.js";
import {heldButton} from "../shared/held_button.js";

/** A second press within this time is a slip of the hand. */
const GUARD_MS = 400;
/** For so long a key or the button must be held to end a silence. */
const HOLD_MS = 1000;
/** Where the space bar has a use of its own. */
const OWN_SPACE = "input, select, textarea, #restart";

export class Hands {
  /**
   * @param {(event: import("./machine.js").Event) => void} send
   * @param {() => number} step number of the step that is shown
   * @param {() => boolean} needsHold whether to go on now needs a press that is held
   */
  constructor(send, step, needsHold) {
    this.send = send;
    this.step = step;
    this.needsHold = needsHold;
    this.guardUntil = 0;
    this.holding = 0;
    /** Whether the press that is not over yet has done its work. */
    this.isSpent = false;
    const next = button("next");
    next.addEventListener("click", () => {
      if (!this.isSpent) this.press();
      this.isSpent = false;
    });
    next.addEventListener("pointerdown", () => this.down());
    for (const name of ["pointerup", "pointerleave", "pointercancel", "blur"]) {
      next.addEventListener(name, () => this.up());
    }
    window.addEventListener("blur", () => this.up());
    button("rehearse").addEventListener("click", () => this.press("rehearse"));
    button("hold").addEventListener("click", () => send("watch"));
    button("before").addEventListener("click", () => send("back"));
    button("onward").addEventListener("click", () => send("onward"));
    button("print").addEventListener("click", () => window.print());
    heldButton(button("restart"), () => send("restart"), () => {
      at("says").textContent = "To start again from the beginning, keep that button down for two seconds. The log stays.";
    });
    document.addEventListener("keydown", event => this.keyDown(event), {capture: true});
    document.addEventListener("keyup", event => {
      if (event.key !== " " && event.key !== "Enter") return;
      this.up();
      if (event.key === " " && this.isOurs(event.target)) event.preventDefault();
    }, {capture: true});
    giveBackFocus(next);
  }

  /** From now on a press is a slip of the hand, for a moment. */
  guard() {
    this.guardUntil = performance.now() + GUARD_MS;
  }

  /** @param {"next" | "rehearse"} event */
  press(event = "next") {
    if (performance.now() >= this.guardUntil) this.send(event);
  }

  /** @param {EventTarget | null} target */
  isOurs(target) {
    return !(target instanceof Element && target.closest(OWN_SPACE));
  }

  /** @param {KeyboardEvent} event */
  keyDown(event) {
    if (event.ctrlKey || event.altKey || event.metaKey) return;
    const isOnNext = event.target === button("next");
    if (!(event.key === " " && this.isOurs(event.target)) && !(event.key === "Enter" && isOnNext)) return;
    event.preventDefault();
    if (event.repeat || button("next").disabled) return;
    this.down();
    this.press();
  }

  down() {
    this.up();
    this.isSpent = false;
    if (!this.needsHold()) return;
    const step = this.step();
    this.holding = setTimeout(() => {
      this.isSpent = true;
      if (this.step() === step) this.send("held");
    }, HOLD_MS);
  }

  up() {
    clearTimeout(this.holding);
  }
}
