// What people press: buttons, keys, lists and fields, turned into events.

import {at, button, element} from "../shared/elements.js";
import {giveBackFocus} from "../shared/focus.js";
import {heldButton} from "../shared/held_button.js";
import {isUnderWay} from "./machine.js";

/** @typedef {import("./machine.js").Event} Event */
/** @typedef {import("./machine.js").Phase} Phase */

/** A second press within this time is a slip of the hand. */
const GUARD_MS = 700;
/** Keys that a computer, a keyboard or a headset may send; but for `pause` they do nothing. @type {MediaSessionAction[]} */
const MEDIA_KEYS = ["play", "pause", "stop", "seekbackward", "seekforward", "seekto", "previoustrack", "nexttrack"];
/** Where a space is written. */
const TEXT_FIELDS = "input[type=text], textarea";
/** What the smaller button beside the large one does. @type {Partial<Record<Phase, Event>>} */
const SECOND = {untested: "skip", ready: "test", paused: "repeat", offered: "repeat", refused: "lookAgain"};

export class Hands {
  /**
   * @param {(event: Event) => void} send
   * @param {() => Phase} phase
   */
  constructor(send, phase) {
    this.send = send;
    this.phase = phase;
    this.guardUntil = 0;
    this.isSpaceOurs = false;
    button("main").addEventListener("click", () => this.press("press"));
    button("main").addEventListener("keydown", event => { if (event.repeat) event.preventDefault(); });
    button("second").addEventListener("click", () => {
      const does = SECOND[phase()];
      if (does) this.press(does);
    });
    heldButton(button("restart"), () => this.send("restart"), () => {
      at("restart-says").textContent = "Keep it down for two seconds. The log stays.";
    });
    button("print").addEventListener("click", () => window.print());
    this.setUpSpace();
    this.setUpMediaKeys();
    giveBackFocus(button("main"));
  }

  /** From now on a press is a slip of the hand, for a moment. */
  guard() {
    this.guardUntil = performance.now() + GUARD_MS;
  }

  /** @param {Event} event */
  press(event) {
    if (performance.now() < this.guardUntil) return;
    this.guard();
    this.send(event);
  }

  /** While the test is under way the space bar pauses and continues, also from a candidates' window. */
  space() {
    if (this.isOurs()) this.press("press");
  }

  isOurs() {
    const phase = this.phase();
    return isUnderWay(phase) || phase === "starting";
  }

  // A hand that must stop the test at once does not look for the focus: while the test is under way the
  // space bar is Pause and Continue wherever it is, but in a text field. Enter presses what has the focus.
  setUpSpace() {
    document.addEventListener("keydown", event => {
      if (event.key !== " " || event.ctrlKey || event.altKey || event.metaKey) return;
      const isWritten = event.target instanceof Element && event.target.closest(TEXT_FIELDS);
      if (!event.repeat) this.isSpaceOurs = this.isOurs() && !isWritten;
      if (!this.isSpaceOurs) return;
      event.preventDefault();
      if (!event.repeat) this.space();
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
   * Call when a sound device comes or goes.
   * @param {() => void} call
   */
  onDevices(call) {
    const {mediaDevices} = navigator;
    if (!mediaDevices?.enumerateDevices) return;
    let known = "";
    const look = async () => {
      const found = (await mediaDevices.enumerateDevices()).filter(one => one.kind === "audiooutput");
      return found.map(one => `${one.deviceId} ${one.groupId}`).sort().join("\n");
    };
    look().then(found => { known = found; }).catch(() => {});
    mediaDevices.addEventListener("devicechange", async () => {
      try {
        const found = await look();
        if (found !== known) call();
        known = found;
      } catch { /* nothing is known of them here */ }
    });
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
   * Call when the candidates' screen is asked for: here or in a window; with whether captions are shown there.
   * @param {{here: () => void, window: () => void, captions: () => void}} calls
   */
  onCandidates(calls) {
    button("view").addEventListener("click", calls.here);
    button("open-window").addEventListener("click", calls.window);
    document.getElementById("captions")?.addEventListener("click", calls.captions);
    document.addEventListener("keydown", event => {
      if (event.key === "Escape" && !at("candidates").hidden) calls.here();
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
