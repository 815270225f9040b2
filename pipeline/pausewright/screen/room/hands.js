// What people press: buttons, keys, lists and fields, turned into events.

import {at, button, element} from "../shared/elements.js";
import {giveBackFocus} from "../shared/focus.js";
import {isStanding} from "./machine.js";

/** A second press within this time is a slip of the hand. */
const GUARD_MS = 700;
/** Keys that a computer, a keyboard or a headset may send; but for `pause` they do nothing. @type {MediaSessionAction[]} */
const MEDIA_KEYS = ["play", "pause", "stop", "seekbackward", "seekforward", "seekto", "previoustrack", "nexttrack"];
/** Where the space bar has a use of its own while the recording stands still. */
const OWN_SPACE = "button, select, input:not([type=range]), a, textarea";

export class Hands {
  /**
   * @param {(event: import("./machine.js").Event) => void} send
   * @param {() => import("./machine.js").Phase} phase
   */
  constructor(send, phase) {
    this.send = send;
    this.phase = phase;
    this.guardUntil = 0;
    this.isSpaceOurs = false;
    button("main").addEventListener("click", () => this.press("press"));
    button("main").addEventListener("keydown", event => { if (event.repeat) event.preventDefault(); });
    button("from-question").addEventListener("click", () => this.press("repeat"));
    button("try").addEventListener("click", () => send("test"));
    button("look-again").addEventListener("click", () => send("lookAgain"));
    button("again-here").addEventListener("click", () => send("here"));
    button("again-question").addEventListener("click", () => send("question"));
    button("again-new").addEventListener("click", () => { at("again-sure").hidden = false; at("again-no").focus(); });
    button("again-no").addEventListener("click", () => { at("again-sure").hidden = true; at("again-new").focus(); });
    button("again-yes").addEventListener("click", () => send("anew"));
    button("print").addEventListener("click", () => window.print());
    this.setUpView();
    this.setUpSpace();
    this.setUpMediaKeys();
    giveBackFocus(button("main"));
  }

  /** From now on a press is a slip of the hand, for a moment. */
  guard() {
    this.guardUntil = performance.now() + GUARD_MS;
  }

  /** @param {"press" | "repeat"} event */
  press(event) {
    if (performance.now() < this.guardUntil) return;
    this.guard();
    this.send(event);
  }

  setUpView() {
    const view = button("view");
    view.addEventListener("click", () => {
      const isOn = document.body.classList.toggle("candidates");
      view.textContent = isOn ? "Invigilator’s view" : "Candidates’ view";
    });
    document.addEventListener("keydown", event => {
      if (event.key === "Escape" && document.body.classList.contains("candidates")) view.click();
    });
  }

  // While it plays, the space bar pauses wherever the focus is: a hand that must stop the test at once
  // does not look for it. Enter presses the button that has the focus.
  setUpSpace() {
    document.addEventListener("keydown", event => {
      if (event.key !== " " || event.ctrlKey || event.altKey || event.metaKey) return;
      const phase = this.phase();
      const isPlaying = phase === "playing" || phase === "starting";
      const isOnOther = event.target instanceof Element && event.target.closest(OWN_SPACE);
      if (!event.repeat) this.isSpaceOurs = isPlaying || !isOnOther;
      if (!this.isSpaceOurs) return;
      event.preventDefault();
      if (event.repeat) return;
      if (isPlaying || isStanding(phase)) this.press("press");
      if (isPlaying && isOnOther) button("main").focus({preventScroll: true});
    }, {capture: true});
    // some browsers press a button when the key comes up again
    document.addEventListener("keyup", event => {
      if (event.key === " " && this.isSpaceOurs) event.preventDefault();
    }, {capture: true});
  }

  setUpMediaKeys() {
    if (!("mediaSession" in navigator)) return;
    for (const name of MEDIA_KEYS) {
      const does = name === "pause" ? () => this.send("mediaPause") : () => {};
      try { navigator.mediaSession.setActionHandler(name, does); } catch { /* not known here */ }
    }
  }

  /**
   * Call when the reason of a pause is given or changed.
   * @param {(reason: {reason: string} | {detail: string}) => void} call
   */
  onReason(call) {
    const reason = element("reason", HTMLSelectElement);
    const detail = element("detail", HTMLInputElement);
    reason.addEventListener("change", () => call({reason: reason.value}));
    detail.addEventListener("input", () => call({detail: detail.value}));
  }

  /**
   * Call with the sound level, from 0 to 1, now and when it is changed.
   * @param {(volume: number) => void} call
   */
  onLevel(call) {
    const level = element("level", HTMLInputElement);
    level.addEventListener("input", () => call(Number(level.value) / 100));
    call(Number(level.value) / 100);
  }

  /**
   * Call when captions are hidden or shown, where the page has any.
   * @param {() => void} call
   */
  onCaptions(call) {
    const captions = document.getElementById("captions");
    captions?.addEventListener("click", () => {
      const caption = at("caption");
      caption.hidden = !caption.hidden;
      captions.textContent = caption.hidden ? "Show captions" : "Hide captions";
      call();
    });
  }

  /**
   * Call in practice: with how far to go, and with the speed.
   * @param {(by_s: number) => void} go
   * @param {(speed: number) => void} setSpeed
   */
  onPractice(go, setSpeed) {
    const speed = element("speed", HTMLSelectElement);
    button("back").addEventListener("click", () => go(-5));
    button("on").addEventListener("click", () => go(5));
    speed.addEventListener("change", () => setSpeed(Number(speed.value)));
  }
}
