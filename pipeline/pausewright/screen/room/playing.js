// Playing the test: to begin, to stand still, to go on, to end. Each is logged as what it is.

import {clockTime, exactLength} from "../shared/words.js";
import {letSleep, stayAwake} from "./awake.js";

/** @typedef {import("./machine.js").Event} Event */
/** @typedef {import("./room.js").Detail} Detail */

/** What is logged and said when it is paused, by what paused it. @type {Partial<Record<Event, [logged: string, said: string]>>} */
const PAUSES = {
  press: ["paused", "Paused. The clock is stopped."],
  mediaPause: ["paused by a media key", "Paused. The clock is stopped."],
  stopped: ["paused by the computer", "The computer paused the sound. Look at its sound output, then continue."],
  stuck: ["paused: the sound stood still", "The sound stood still, so the test is paused. Look at the sound output and the stick, then continue."],
  unplugged: ["paused: a sound device came or went", "A sound device was plugged in or out, so the test is paused. Listen where the sound comes out, then continue."],
  asleep: ["paused: the computer was asleep, or its clock was set", "The computer was asleep, or its clock was set. The recording is paused, the clock is stopped."],
  soundless: ["paused: no sound output", "This computer has no sound output that works, so nothing can be heard."],
  failed: ["paused: the recording cannot be read any more", "The recording cannot be read any more."],
};

export class Playing {
  /** @param {import("./room.js").Room} room */
  constructor(room) {
    this.room = room;
    /** What is logged when the recording sounds, and where it was before. @type {{what: string, from_s: number} | null} */
    this.coming = null;
  }

  /**
   * Go to a place; return whether nothing else has happened meanwhile.
   * @param {number} s
   */
  async gone(s) {
    const {machine, media} = this.room;
    const {turn} = machine;
    await media.jump(s);
    return turn === machine.turn;
  }

  async play() {
    const {hands, machine, media, send} = this.room;
    hands.guard();
    const {turn} = machine;
    const why = await media.play();
    if (turn === machine.turn) send(why ? "silent" : "sounding", {why});
  }

  /**
   * @param {string} happened
   * @param {number} place_s
   * @param {Partial<import("../shared/log.js").Entry>} [more]
   */
  note(happened, place_s, more) {
    return this.room.log.add(happened, place_s, this.room.track.where(place_s), more);
  }

  // ---- to go on

  async begin() {
    this.room.run.reset();
    this.coming = {what: "started", from_s: 0};
    if (await this.gone(0)) this.play();
  }

  goOn() {
    this.comingAs("continued");
    this.play();
  }

  async goOnAfterStop() {
    const {media, run, track} = this.room;
    const hold = run.waitingAt;
    this.comingAs("continued");
    run.waitingAt = -1;
    run.served.add(hold);
    const after_s = track.after_s(hold);
    if (after_s > media.now_s && !await this.gone(after_s)) return;
    this.play();
  }

  /** @param {number} place_s anywhere in the question */
  async goOnFromQuestion(place_s) {
    const {run, track} = this.room;
    const from_s = track.backFrom_s(place_s);
    this.comingAs("continued from the start of this question", place_s);
    if (!await this.gone(from_s)) return;
    const before = track.holdsBefore(from_s);
    run.served = new Set([...run.served].filter(hold => before.has(hold)));
    this.play();
  }

  /**
   * @param {string} what
   * @param {number} from_s
   */
  comingAs(what, from_s = this.room.media.now_s) {
    // what was asked for first and never sounded is what sounds now
    if (this.coming?.what === "started") return;
    this.coming = {what, from_s: this.coming?.from_s ?? from_s};
  }

  // ---- to play and to stand still

  /** The browser plays: what was stopped is over, and it is known for how long. */
  sounding() {
    const {clockwork, log, media, run, steady, view} = this.room;
    const now_ms = steady.now_ms;
    const {what, from_s} = this.coming ?? {what: "continued", from_s: media.now_s};
    this.coming = null;
    if (run.row >= 0) log.change(run.row, {lasted_ms: now_ms - run.rowSince_ms});
    run.row = -1;
    run.hasBegun = true;
    // where it began to sound, not where it is by now
    const moved_ms = what === "started" ? 0 : Math.round(1000 * (media.place_s - from_s));
    const moved = Math.abs(moved_ms) >= 50 ? `, ${moved_ms < 0 ? "back" : "on"} by ${exactLength(Math.abs(moved_ms))}` : "";
    this.note(`${what}${moved}`, media.place_s, {moved_ms});
    view.trouble("");
    view.say("Playing.");
    stayAwake();
    clockwork.wake();
  }

  /**
   * @param {Event} _
   * @param {Detail} detail
   */
  sayUnplayed(_, {why}) {
    const {media, view} = this.room;
    this.note("the sound did not start", media.now_s);
    view.say("The sound did not start.");
    view.trouble(`The browser did not play the sound (${why}). Press the button again, or use the plain track in another player.`);
  }

  /**
   * @param {Event} event what has paused it
   * @param {Detail} detail
   */
  notePause(event, {since}) {
    const {media, track} = this.room;
    const [logged, said] = PAUSES[event] ?? ["paused", "Paused."];
    const told = track.data.practice ? "" : track.told(media.now_s);
    this.stand(since ? `${logged}, since ${clockTime(since)}` : logged, said, told);
  }

  /**
   * @param {Event} _
   * @param {Detail} detail
   */
  waitAtStop(_, {hold = 0}) {
    const {media, run, track} = this.room;
    run.waitingAt = hold;
    // a computer that hung has run over the hold: back into it
    if (track.isOver(hold, media.now_s)) media.jump(track.standIn_s(hold));
    const {title, isAnswer} = track.stopNamed(hold);
    const does = isAnswer ? "Candidates write. When their time is over, press Continue."
      : "Do what the running sheet says here, then press Continue.";
    this.stand(`waits: ${title}`, `${title}. The recording waits until you continue. ${does}`, "");
  }

  /**
   * @param {string} logged
   * @param {string} said
   * @param {string} told
   */
  stand(logged, said, told) {
    const {hands, log, media, run, steady, view} = this.room;
    const now_ms = steady.now_ms;
    media.place_s = media.now_s;
    // a pause that never sounded in between is over all the same
    if (run.row >= 0) log.change(run.row, {lasted_ms: now_ms - run.rowSince_ms});
    run.row = this.note(logged, media.place_s, {told});
    run.rowSince_ms = now_ms;
    view.clearReason();
    view.say(said);
    hands.guard();
  }

  /** Go back by as much as a browser may go on too late, after the computer slept. */
  async stepBack() {
    const {interruption, media, track} = this.room;
    const from_s = media.place_s;
    this.coming = {what: "continued", from_s};
    await media.jump(Math.max(0, from_s - track.late_s));
    interruption.keepPlace();
  }

  finish() {
    const {log, machine, run, steady, track, view} = this.room;
    const now_ms = steady.now_ms;
    if (run.row >= 0) log.change(run.row, {lasted_ms: now_ms - run.rowSince_ms});
    run.row = -1;
    log.add("ended", track.length_s, "End", {lasted_ms: run.sums(machine.phase, now_ms).all_ms});
    view.say("The recording has ended. Save or print the log.");
    letSleep();
  }

  /**
   * In practice: go to any place.
   * @param {Event} _
   * @param {Detail} detail
   */
  async visit(_, {place_s = 0}) {
    const {clockwork, machine, media, run, track, view} = this.room;
    if (machine.phase === "paused") view.say("Paused.");
    this.coming = null;
    run.waitingAt = -1;
    await media.jump(place_s);
    run.served = track.holdsBefore(media.now_s);
    clockwork.schedule();
    this.room.show();
  }
}
