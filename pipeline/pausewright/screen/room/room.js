// The room screen: what the machine's actions do, and what keeps it running.

import {element, pageData} from "../shared/elements.js";
import {Keep} from "../shared/keep.js";
import {Log} from "../shared/log.js";
import {setUpLook} from "../shared/look.js";
import {Machine} from "../shared/machine.js";
import {everyTick} from "../shared/ticks.js";
import {clockTime, dayOf, lengthInWords, placeTime} from "../shared/words.js";
import {letSleep, stayAwake} from "./awake.js";
import {lookAtBrowser, lookAtRecording} from "./before.js";
import {Hands} from "./hands.js";
import {PRACTICE, TABLE, isStanding, isUnderWay} from "./machine.js";
import {Media} from "./media.js";
import {OnlyOne} from "./only_one.js";
import {Run} from "./run.js";
import {Track} from "./track.js";
import {View} from "./view.js";

/** How often the place is kept: 20 times a second. */
const TICK_MS = 50;
/** A clock that jumps by more while nothing played: a closed lid. */
const ASLEEP_S = 2;

/**
 * What an action needs to know besides the event.
 * @typedef {object} Detail
 * @property {number} [hold] number of the stop that is reached
 * @property {number} [since] when the computer fell asleep
 * @property {number} [place_s] where to go
 * @property {string} [why] why the browser would not play
 */

/**
 * The place as it is kept.
 * @typedef {object} Kept
 * @property {number} place_s
 * @property {import("./machine.js").Phase} phase
 * @property {number} at when, by the computer's clock
 * @property {number} [paused_ms] all pauses and stops that were over
 * @property {number} [stopped_ms] the one that was not
 * @property {number[]} [served]
 * @property {number} [level]
 */

/** What is logged and said when it is paused, by what paused it. @type {Partial<Record<import("./machine.js").Event, [logged: string, said: string]>>} */
const PAUSES = {
  press: ["paused", "Paused. The clock is stopped."],
  mediaPause: ["paused by a media key", "Paused. The clock is stopped."],
  stopped: ["paused by the computer", "The computer paused the sound. Look at its sound output, then continue."],
  asleep: ["paused: the computer was asleep", "The computer was asleep. The recording is paused, the clock is stopped."],
  failed: ["paused: the recording cannot be read any more", "The recording cannot be read any more."],
};

const track = new Track(pageData());
const keep = new Keep(track.data.id);
const only = new OnlyOne(track.data.id);
const log = new Log(keep, `${track.data.name}_log`);
let run = new Run();
/** The place that was kept before this page was opened. @type {Kept | null} */
let last = null;
let tryEnd_ms = Infinity;
let hasTested = false;
/** When the last tick was, and where the recording was then. */
let tick = {at: Date.now(), place_s: 0};
let boundary = 0;

const media = new Media(element("sound", HTMLAudioElement), track, {
  happened: event => send(event),
  slow: isSlow => view.trouble(isSlow && machine.phase === "playing" ? "The recording is loading slowly. If this goes on, pause and use the spare copy." : ""),
});
const view = new View(track, place_s => send("visit", {place_s}));

/** @type {Machine<import("./machine.js").Phase, import("./machine.js").Event, import("./machine.js").Action, Detail>} */
const machine = new Machine(track.data.practice ? PRACTICE : TABLE, "loading", {
  askOthers, offer, forget, begin, goOn, goOnAfterStop, repeatQuestion, resume, resumeHere, resumeQuestion,
  testSound, backToStart, notePause, sayUnplayed, stepBack, waitAtStop, awaken, finish, visitPlace,
  sayTaken: () => view.check("only", "Close the other window or tab with this recording, then press Look again.", true),
  noteTested: () => { hasTested = true; },
  hush: () => media.hush(),
  sayFailed: () => view.trouble("Is the stick or drive still there? Use the spare copy and the running sheet."),
}, {entering: left => run.change(left, Date.now()), entered});

/**
 * @param {import("./machine.js").Event} event
 * @param {Detail} [detail]
 */
function send(event, detail = {}) {
  machine.send(event, detail);
}

const hands = new Hands(send, () => machine.phase);

// ---- after every event

function entered() {
  view.show(machine.phase, media.now_s);
  showClock();
  showTested();
  keepPlace();
}

function showClock() {
  const {phase} = machine;
  view.showClock(phase, track.toCome_s(media.now_s, run.served),
    track.stopsToCome(media.now_s, run.served, run.waitingAt), run.standing(phase, Date.now()));
}

function showTested() {
  if (machine.phase !== "ready") return;
  if (hasTested) view.check("sound", `You tested the sound at level ${Math.round(media.audio.volume * 100)} of 100.`);
  else view.check("sound", "You have not tested the sound yet.", true);
}

function keepPlace() {
  const {phase} = machine;
  if (!isUnderWay(phase) && phase !== "ended") return;
  /** @type {Kept} */
  const kept = {
    place_s: media.now_s, phase, at: Date.now(), paused_ms: run.stopped_ms,
    stopped_ms: run.standing(phase, Date.now()).here_ms, served: [...run.served], level: media.audio.volume,
  };
  keep.write("place", kept);
}

// ---- before the start, and after an interruption

async function askOthers() {
  if (!await only.ask()) {
    send("taken");
    return;
  }
  view.check("only", "");
  log.load(await keep.newest("log"));
  last = await keep.newest("place");
  const isWithin = last && last.phase !== "ended" && last.place_s > 0 && last.place_s < track.length_s - 0.2;
  send(isWithin && !track.data.practice ? "interrupted" : "fresh");
}

function offer() {
  if (!last) return;
  view.offer(`It was at ${placeTime(last.place_s)} (${track.where(last.place_s)}) on ${dayOf(last.at)} at ${clockTime(last.at)}. Choose how to go on; nothing plays until you do.`);
}

function forget() {
  if (last) log.add("set back to the beginning", last.place_s, track.where(last.place_s));
  keep.write("place", {place_s: 0, phase: "ended", at: Date.now()});
}

/** @param {import("./machine.js").Event} event */
function resume(event) {
  if (!last) return;
  const how = event === "here" ? "continued at exactly this place" : "continued from the start of this question";
  run.served = new Set(last.served ?? []);
  run.stopped_ms = (last.paused_ms ?? 0) + Math.max(0, Date.now() - last.at) + (last.stopped_ms ?? 0);
  setLevel(last.level || media.audio.volume);
  log.add(`the page was closed or failed at ${clockTime(last.at)}; ${how}`, last.place_s, track.where(last.place_s));
}

async function resumeHere() {
  const from_s = last ? Math.max(0, isUnderWay(last.phase) ? last.place_s - track.late_s : last.place_s) : 0;
  if (!await gone(from_s)) return;
  const hold = track.holdAt(media.now_s + track.late_s);
  if (hold >= 0 && !run.served.has(hold)) send("stop", {hold});
  else play();
}

function resumeQuestion() {
  fromQuestion(last ? last.place_s : 0);
}

// ---- the test of the sound

async function testSound() {
  hands.guard();
  tryEnd_ms = Infinity;
  const words = track.data.first_words;
  if (!words) {
    view.say("Sound test: a tone.");
    media.playTone();
    return;
  }
  view.say("Sound test: the first instruction.");
  if (!await gone(words[0] / 1000)) return;
  const why = await media.play();
  if (why) {
    send("silent", {why});
    return;
  }
  tryEnd_ms = words[1] + 150;
  schedule();
}

async function backToStart() {
  await media.jump(0);
  send("arrived");
}

/** @param {number} volume from 0 to 1 */
function setLevel(volume) {
  media.audio.volume = volume;
  view.showLevel(volume);
  showTested();
}

// ---- playing

/**
 * Go to a place; return whether nothing else has happened meanwhile.
 * @param {number} s
 */
async function gone(s) {
  const {turn} = machine;
  await media.jump(s);
  return turn === machine.turn;
}

async function play() {
  hands.guard();
  const {turn} = machine;
  const why = await media.play();
  if (turn === machine.turn) send(why ? "silent" : "sounding", {why});
}

async function begin() {
  run = new Run();
  run.since = Date.now();
  log.add("started", 0, track.where(0));
  if (await gone(0)) play();
}

function goOn() {
  log.add(`continued after ${lengthInWords(run.lasted_ms / 1000)}`, media.now_s, track.where(media.now_s));
  play();
}

async function goOnAfterStop() {
  const hold = run.waitingAt;
  run.waitingAt = -1;
  run.served.add(hold);
  if (track.after_s(hold) > media.now_s && !await gone(track.after_s(hold))) return;
  goOn();
}

function repeatQuestion() {
  fromQuestion(media.now_s);
}

/** @param {number} s a place in the question */
async function fromQuestion(s) {
  const from_s = track.backFrom_s(s);
  if (!await gone(from_s)) return;
  const before = track.holdsBefore(from_s);
  run.served = new Set([...run.served].filter(hold => before.has(hold)));
  log.add("continued from the start of this question", from_s, track.where(from_s + 0.4));
  play();
}

function awaken() {
  run.pauseRow = -1;
  view.trouble("");
  stayAwake();
  tick = {at: Date.now(), place_s: media.now_s};
  schedule();
}

/**
 * @param {import("./machine.js").Event} _
 * @param {Detail} detail
 */
function sayUnplayed(_, {why}) {
  if (machine.phase === "paused") view.say("The sound did not start.");
  view.trouble(`The browser did not play the sound (${why}). Press the button again, or use the plain track in another player.`);
}

/**
 * @param {import("./machine.js").Event} event
 * @param {Detail} detail
 */
function notePause(event, {since}) {
  const [logged, said] = PAUSES[event] ?? ["paused", "Paused. The clock is stopped."];
  stand(since ? `${logged} since ${clockTime(since)}` : logged, said);
}

/**
 * @param {import("./machine.js").Event} _
 * @param {Detail} detail
 */
function waitAtStop(_, {hold = 0}) {
  run.waitingAt = hold;
  // a computer that hung has run over the hold: back into it
  if (track.isOver(hold, media.now_s)) media.jump(track.standIn_s(hold));
  const title = track.data.halts[hold][2];
  stand(`waits: ${title}`, `${title}. The recording waits until you continue.`);
}

/**
 * @param {string} logged
 * @param {string} said
 */
function stand(logged, said) {
  media.place_s = media.now_s;
  run.pauseRow = log.add(logged, media.place_s, track.where(media.place_s));
  view.clearReason();
  view.say(said);
  hands.guard();
}

async function stepBack() {
  await media.jump(Math.max(0, media.place_s - track.late_s));
  keepPlace();
}

function finish() {
  log.add("ended", track.length_s, "End");
  letSleep();
}

/**
 * @param {import("./machine.js").Event} _
 * @param {Detail} detail
 */
async function visitPlace(_, {place_s = 0}) {
  if (machine.phase === "paused") view.say("Paused.");
  run.waitingAt = -1;
  await media.jump(place_s);
  run.served = track.holdsBefore(media.now_s);
  schedule();
  entered();
}

// ---- what has to be done at exact times

/** Called often: draws captions and times, stops at holds. */
function look() {
  const s = media.now_s;
  if (machine.phase === "playing") {
    const hold = track.holdDue(s, media.place_s, run.served);
    if (hold >= 0) send("stop", {hold});
    else media.place_s = s;
  }
  if (machine.phase === "trying" && s * 1000 >= tryEnd_ms) send("tested");
  view.showTimed(machine.phase, media.now_s);
}

/** Wake up at the next time at which something changes, not only with the screen's frames. */
function schedule() {
  clearTimeout(boundary);
  if (machine.phase !== "playing" && machine.phase !== "trying") return;
  const ms = media.now_s * 1000;
  const next_ms = Math.min(track.nextChange_ms(ms), machine.phase === "trying" ? tryEnd_ms : Infinity);
  const wait_ms = Math.max(1, Math.min(500, (next_ms - ms) / media.audio.playbackRate));
  boundary = setTimeout(() => { look(); schedule(); }, wait_ms);
}

function frame() {
  look();
  requestAnimationFrame(frame);
}

function ticked() {
  const before = tick;
  tick = {at: Date.now(), place_s: media.now_s};
  const jumped_s = (tick.at - before.at) / 1000;
  const played_s = tick.place_s - before.place_s;
  if (machine.phase === "playing" && jumped_s > ASLEEP_S && played_s < jumped_s - ASLEEP_S) {
    send("asleep", {since: before.at});
  }
  look();
  if (machine.phase === "playing") keepPlace();
  if (Math.floor(tick.at / 1000) !== Math.floor(before.at / 1000)) {
    only.renew();
    showClock();
    if (isStanding(machine.phase)) keepPlace();
  }
}

// ---- the page

hands.onReason(reason => log.change(run.pauseRow, reason));
hands.onLevel(setLevel);
hands.onCaptions(() => view.showTimed(machine.phase, media.now_s));
if (track.data.practice) {
  hands.onPractice(by_s => send("visit", {place_s: media.now_s + by_s}), speed => {
    media.audio.preservesPitch = true;
    media.audio.playbackRate = speed;
  });
}
document.addEventListener("visibilitychange", () => {
  if (document.visibilityState === "visible" && machine.phase === "playing") stayAwake();
  keepPlace();
});
window.addEventListener("pagehide", () => { keepPlace(); only.leave(); });
window.addEventListener("pageshow", event => { if (event.persisted) location.reload(); });
window.addEventListener("beforeunload", event => { if (isUnderWay(machine.phase)) event.preventDefault(); });

async function prepare() {
  view.show(machine.phase, 0);
  if (!await lookAtRecording(media, track, view)) {
    send("unplayable");
    return;
  }
  await lookAtBrowser(keep, view);
  send("loaded");
}

setUpLook();
everyTick(TICK_MS, ticked);
requestAnimationFrame(frame);
prepare();
