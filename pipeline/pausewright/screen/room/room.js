// The room screen: its parts, what the machine's actions are, and the page around it.

import {at, element, pageData} from "../shared/elements.js";
import {Keep} from "../shared/keep.js";
import {Log} from "../shared/log.js";
import {setUpLook} from "../shared/look.js";
import {Machine} from "../shared/machine.js";
import {Steady} from "../shared/steady.js";
import {lookAtBrowser, lookAtPage, lookAtRecording, setUpComparing} from "./before.js";
import {CandidatesScreen} from "./candidates.js";
import {CandidatesWindow} from "./candidates_window.js";
import {setUpCaptionLook} from "./caption_look.js";
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
import {MARK, Windows} from "./windows.js";

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

const NOT_KEPT = "This browser keeps neither place nor log any more: its storage is full or was forbidden. Save the log now, and note the clock time at each question.";

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
    this.steady = new Steady();
    this.view = new View(this.track, place_s => this.send("visit", {place_s}));
    this.candidates = new CandidatesScreen(this.track);
    this.media = new Media(element("sound", HTMLAudioElement), this.track, {
      happened: event => this.send(event),
      slow: isSlow => this.sayWhetherSlow(isSlow),
    });
    this.playing = new Playing(this);
    this.interruption = new Interruption(this);
    this.soundTest = new SoundTest(this);
    this.clockwork = new Clockwork(this);
    this.windows = new Windows(this);
    /** @type {Machine<Phase, Event, Action, Detail>} */
    this.machine = new Machine(data.practice ? PRACTICE : TABLE, "loading", this.actions(), {
      entering: left => this.run.change(left, this.steady.now_ms),
      entered: () => this.show(),
    });
    this.hands = new Hands(this.send, () => this.machine.phase);
  }

  /** @returns {Record<Action, (event: Event, detail: Detail) => void>} */
  actions() {
    const {interruption, media, playing, soundTest, view} = this;
    return {
      askOthers: () => this.askOthers(),
      sayTaken: () => view.check("only", "This recording is open in another window or tab.", true),
      offer: () => interruption.offer(),
      forget: () => interruption.forget(),
      resumeHere: () => interruption.resumeHere(),
      resumeQuestion: () => interruption.resumeQuestion(),
      testSound: () => soundTest.start(),
      endTest: () => soundTest.end(),
      noteTested: () => { soundTest.wasMade = true; playing.note(`sound tested at level ${Math.round(100 * media.audio.volume)} of 100`, 0); },
      noteUntested: () => { playing.note("started without a sound test", 0); },
      begin: () => playing.begin(),
      goOn: () => playing.goOn(),
      goOnAfterStop: () => playing.goOnAfterStop(),
      repeatQuestion: () => playing.goOnFromQuestion(media.now_s),
      awaken: () => playing.sounding(),
      hush: () => media.hush(),
      notePause: (event, detail) => playing.notePause(event, detail),
      waitAtStop: (event, detail) => playing.waitAtStop(event, detail),
      stepBack: () => playing.stepBack(),
      sayUntestable: (_, {why}) => soundTest.sayUntestable(why),
      sayUnplayed: (event, detail) => playing.sayUnplayed(event, detail),
      sayFailed: () => view.trouble("Is the stick or drive still there? Use the spare copy and the running sheet."),
      saySoundless: () => view.trouble("The recording is not at fault. Plug in or switch on the loudspeakers or headphones, then continue. If it stays silent, play the plain track on another player."),
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
    const {machine: {phase}, media, track, view} = this;
    view.show(phase, media.now_s);
    view.incident(phase === "paused" && !track.data.practice ? track.told(media.now_s) : "");
    this.showClock();
    this.draw();
    this.windows.tell();
    this.soundTest.show();
    this.interruption.keepPlace();
  }

  /** Draw what follows the sound. */
  draw() {
    const {candidates, machine: {phase}, media, run, steady, view} = this;
    view.showPlace(phase, media.now_s);
    view.showTimes(phase, media.now_s, run, run.sums(phase, steady.now_ms));
    candidates.hasCaptions = view.hasCaptions;
    if (!at("candidates").hidden) candidates.draw(phase, media.now_s);
  }

  showClock() {
    const {log, machine: {phase}, run, steady, view} = this;
    log.sum(view.sums(run.sums(phase, steady.now_ms)));
  }

  showWhetherKept() {
    const {keep, machine, view} = this;
    if (isUnderWay(machine.phase) && keep.hasFailed) view.trouble(NOT_KEPT);
    keep.hasFailed = false;
  }

  /** @param {boolean} isSlow */
  sayWhetherSlow(isSlow) {
    const says = "The recording is loading slowly. If this goes on, pause and use the spare copy.";
    this.view.trouble(isSlow && this.machine.phase === "playing" ? says : "");
  }

  /** Show the candidates' screen in this window, or the invigilator's again. */
  turn() {
    const isCandidates = at("candidates").hidden;
    at("candidates").hidden = !isCandidates;
    at("staff").hidden = isCandidates;
    document.body.classList.toggle("candidates", isCandidates);
    this.show();
    if (isCandidates) at("c-part").focus({preventScroll: true});
    else this.view.focusMain();
    scrollTo(0, 0);
  }

  /** Join the page: its buttons, and what the browser does with it. */
  setUp() {
    const {clockwork, hands, interruption, log, media, only, run, soundTest, track, view, windows} = this;
    hands.onReason(reason => log.change(run.row, reason));
    hands.onLevel(volume => soundTest.setLevel(volume));
    hands.onDevices(() => this.send("unplugged"));
    hands.onCandidates({
      here: () => this.turn(),
      window: () => {
        const isOpen = windows.add();
        view.check("window", isOpen ? "" : "The browser did not open a window for the candidates’ screen. Allow windows for this page, or show it here.", true);
      },
      captions: () => {
        view.hasCaptions = !view.hasCaptions;
        at("captions").textContent = view.hasCaptions ? "Hide captions on all screens" : "Show captions";
        this.show();
      },
    });
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
    history.scrollRestoration = "manual";  // what is to be done next is at the top
    setUpLook();
    setUpCaptionLook(this.track.data.words);
    setUpComparing(track, view);
    clockwork.start();
  }

  /** Look whether all is as it must be, then ask whether this page may play. */
  async prepare() {
    this.view.show(this.machine.phase, 0);
    if (!await lookAtPage(this.view) || !await lookAtRecording(this.media, this.track, this.view)) {
      this.send("unplayable");
      return;
    }
    await lookAtBrowser(this.keep, this.view);
    this.send("loaded");
  }
}

/** @param {import("./track.js").Data} data */
function openStaffScreen(data) {
  const room = new Room(data);
  room.setUp();
  room.prepare();
}

const data = pageData();
if (location.hash === MARK && window.opener) new CandidatesWindow(new Track(data)).setUp();
else openStaffScreen(data);
