// The room screen: its parts, what the machine's actions are, and the page around it.

import {element, pageData} from "../shared/elements.js";
import {Keep} from "../shared/keep.js";
import {Log} from "../shared/log.js";
import {setUpLook} from "../shared/look.js";
import {Machine} from "../shared/machine.js";
import {lookAtBrowser, lookAtRecording} from "./before.js";
import {Clockwork} from "./clockwork.js";
import {Hands} from "./hands.js";
import {Interruption} from "./interruption.js";
import {PRACTICE, TABLE, isUnderWay} from "./machine.js";
import {Media} from "./media.js";
import {OnlyOne} from "./only_one.js";
import {Playing} from "./playing.js";
import {Run} from "./run.js";
import {SoundTest} from "./sound_test.js";
import {Track} from "./track.js";
import {View} from "./view.js";

/** @typedef {import("./machine.js").Action} Action */
/** @typedef {import("./machine.js").Event} Event */
/** @typedef {import("./machine.js").Phase} Phase */

/**
 * What an action needs to know besides the event.
 * @typedef {object} Detail
 * @property {number} [hold] number of the stop that is reached
 * @property {number} [since] when the computer fell asleep
 * @property {number} [place_s] where to go
 * @property {string} [why] why the browser would not play
 */

export class Room {
  /** @param {import("./track.js").Data} data */
  constructor(data) {
    /** Tells the machine what has happened. @type {(event: Event, detail?: Detail) => void} */
    this.send = (event, detail = {}) => this.machine.send(event, detail);
    this.track = new Track(data);
    this.keep = new Keep(data.id);
    this.only = new OnlyOne(data.id);
    this.log = new Log(this.keep, `${data.name}_log`);
    this.run = new Run();
    this.view = new View(this.track, place_s => this.send("visit", {place_s}));
    this.media = new Media(element("sound", HTMLAudioElement), this.track, {
      happened: event => this.send(event),
      slow: isSlow => this.sayWhetherSlow(isSlow),
    });
    this.playing = new Playing(this);
    this.interruption = new Interruption(this);
    this.soundTest = new SoundTest(this);
    this.clockwork = new Clockwork(this);
    /** @type {Machine<Phase, Event, Action, Detail>} */
    this.machine = new Machine(data.practice ? PRACTICE : TABLE, "loading", this.actions(), {
      entering: left => this.run.change(left, Date.now()),
      entered: () => this.show(),
    });
    this.hands = new Hands(this.send, () => this.machine.phase);
  }

  /** @returns {Record<Action, (event: Event, detail: Detail) => void>} */
  actions() {
    const {interruption, media, playing, soundTest, view} = this;
    return {
      askOthers: () => this.askOthers(),
      sayTaken: () => view.check("only", "Close the other window or tab with this recording, then press Look again.", true),
      offer: () => interruption.offer(),
      forget: () => interruption.forget(),
      resume: event => interruption.resume(event),
      resumeHere: () => interruption.goOnHere(),
      resumeQuestion: () => playing.goOnFromQuestion(interruption.last.place_s),
      testSound: () => soundTest.start(),
      noteTested: () => { soundTest.wasMade = true; },
      backToStart: () => soundTest.backToStart(),
      begin: () => playing.begin(),
      goOn: () => playing.goOn(),
      goOnAfterStop: () => playing.goOnAfterStop(),
      repeatQuestion: () => playing.goOnFromQuestion(media.now_s),
      awaken: () => playing.sounding(),
      hush: () => media.hush(),
      notePause: (event, detail) => playing.notePause(event, detail),
      waitAtStop: (event, detail) => playing.waitAtStop(event, detail),
      stepBack: () => playing.stepBack(),
      sayUnplayed: (event, detail) => playing.sayUnplayed(event, detail),
      sayFailed: () => view.trouble("Is the stick or drive still there? Use the spare copy and the running sheet."),
      finish: () => playing.finish(),
      visitPlace: (event, detail) => playing.visit(event, detail),
    };
  }

  async askOthers() {
    if (!await this.only.ask()) {
      this.send("taken");
      return;
    }
    this.view.check("only", "");
    this.send(await this.interruption.lookBack() ? "interrupted" : "fresh");
  }

  /** Show everything as it is now, and keep the place. */
  show() {
    this.view.show(this.machine.phase, this.media.now_s);
    this.showClock();
    this.soundTest.show();
    this.interruption.keepPlace();
  }

  showClock() {
    const {machine: {phase}, media, run, track} = this;
    this.view.showClock(phase, track.toCome_s(media.now_s, run.served),
      track.stopsToCome(media.now_s, run.served, run.waitingAt), run.standing(phase, Date.now()));
  }

  /** @param {boolean} isSlow */
  sayWhetherSlow(isSlow) {
    const says = "The recording is loading slowly. If this goes on, pause and use the spare copy.";
    this.view.trouble(isSlow && this.machine.phase === "playing" ? says : "");
  }

  /** Join the page: its buttons, and what the browser does with it. */
  setUp() {
    const {clockwork, hands, interruption, log, media, only, run, soundTest, track, view} = this;
    hands.onReason(reason => log.change(run.pauseRow, reason));
    hands.onLevel(volume => soundTest.setLevel(volume));
    hands.onCaptions(() => view.showTimed(this.machine.phase, media.now_s));
    if (track.data.practice) {
      hands.onPractice(by_s => this.send("visit", {place_s: media.now_s + by_s}), speed => media.setSpeed(speed));
    }
    document.addEventListener("visibilitychange", () => {
      if (document.visibilityState === "visible") clockwork.shown();
      interruption.keepPlace();
    });
    window.addEventListener("pagehide", () => { interruption.keepPlace(); only.leave(); });
    window.addEventListener("pageshow", event => { if (event.persisted) location.reload(); });
    window.addEventListener("beforeunload", event => { if (isUnderWay(this.machine.phase)) event.preventDefault(); });
    setUpLook();
    clockwork.start();
  }

  /** Look whether all is as it must be, then ask whether this page may play. */
  async prepare() {
    this.view.show(this.machine.phase, 0);
    if (!await lookAtRecording(this.media, this.track, this.view)) {
      this.send("unplayable");
      return;
    }
    await lookAtBrowser(this.keep, this.view);
    this.send("loaded");
  }
}

const room = new Room(pageData());
room.setUp();
room.prepare();
