// Playing the test: to begin, to stand still, to go on, to end. Each is logged as what it is.

import {clockTime, lengthInWords} from "../shared/words.js";
import {letSleep, stayAwake} from "./awake.js";

/** @typedef {import("./machine.js").Event} Event */
/** @typedef {import("./room.js").Detail} Detail */

/** What is logged and said when it is paused, by what paused it. @type {Partial<Record<Event, [logged: string, said: string]>>} */
const PAUSES = {
  press: ["paused", "Paused. The clock is stopped."],
  mediaPause: ["paused by a media key", "Paused. The clock is stopped."],
  stopped: ["paused by the computer", "The computer paused the sound. Look at its sound output, then continue."],
  asleep: ["paused: the computer was asleep", "The computer was asleep. The recording is paused, the clock is stopped."],
  failed: ["paused: the recording cannot be read any more", "The recording cannot be read any more."],
};

export class Playing {
  /** @param {import("./room.js").Room} room */
  constructor(room) {
    this.room = room;
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
   */
  note(happened, place_s) {
    return this.room.log.add(happened, place_s, this.room.track.where(place_s));
  }

  // ---- to go on

  async begin() {
    this.room.run.reset();
    this.note("started", 0);
    if (await this.gone(0)) this.play();
  }

  goOn() {
    const {media, run} = this.room;
    this.note(`continued after ${lengthInWords(run.lasted_ms / 1000)}`, media.now_s);
    this.play();
  }

  async goOnAfterStop() {
    const {media, run, track} = this.room;
    const hold = run.waitingAt;
    run.waitingAt = -1;
    run.served.add(hold);
    const after_s = track.after_s(hold);
    if (after_s > media.now_s && !await this.gone(after_s)) return;
    this.goOn();
  }

  /** @param {number} place_s anywhere in the question */
  async goOnFromQuestion(place_s) {
    const {log, run, track} = this.room;
    const from_s = track.backFrom_s(place_s);
    if (!await this.gone(from_s)) return;
    const before = track.holdsBefore(from_s);
    run.served = new Set([...run.served].filter(hold => before.has(hold)));
    log.add("continued from the start of this question", from_s, track.where(from_s + 0.4));
    this.play();
  }

  // ---- to play and to stand still

  /** The browser plays. */
  sounding() {
    const {clockwork, run, view} = this.room;
    run.pauseRow = -1;
    view.trouble("");
    stayAwake();
    clockwork.wake();
  }

  /**
   * @param {Event} _
   * @param {Detail} detail
   */
  sayUnplayed(_, {why}) {
    const {machine, view} = this.room;
    if (machine.phase === "paused") view.say("The sound did not start.");
    view.trouble(`The browser did not play the sound (${why}). Press the button again, or use the plain track in another player.`);
  }

  /**
   * @param {Event} event what has paused it
   * @param {Detail} detail
   */
  notePause(event, {since}) {
    const [logged, said] = PAUSES[event] ?? ["paused", "Paused."];
    this.stand(since ? `${logged} since ${clockTime(since)}` : logged, said);
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
    const title = track.data.halts[hold][2];
    this.stand(`waits: ${title}`, `${title}. The recording waits until you continue.`);
  }

  /**
   * @param {string} logged
   * @param {string} said
   */
  stand(logged, said) {
    const {hands, media, run, view} = this.room;
    media.place_s = media.now_s;
    run.pauseRow = this.note(logged, media.place_s);
    view.clearReason();
    view.say(said);
    hands.guard();
  }

  /** Go back by as much as a browser may go on too late, after the computer slept. */
  async stepBack() {
    const {interruption, media, track} = this.room;
    await media.jump(Math.max(0, media.place_s - track.late_s));
    interruption.keepPlace();
  }

  finish() {
    this.room.log.add("ended", this.room.track.length_s, "End");
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
    run.waitingAt = -1;
    await media.jump(place_s);
    run.served = track.holdsBefore(media.now_s);
    clockwork.schedule();
    this.room.show();
  }
}
