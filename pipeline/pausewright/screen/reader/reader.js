// The reader's screen: one sentence at a time for a person who reads aloud, silences by the watch.

import {at, button, element, pageData, put} from "../shared/elements.js";
import {Keep} from "../shared/keep.js";
import {Log} from "../shared/log.js";
import {setUpLook} from "../shared/look.js";
import {Machine} from "../shared/machine.js";
import {Steady} from "../shared/steady.js";
import {clockTime, counted, dayOf, exactLength} from "../shared/words.js";
import {Hands} from "./hands.js";
import {TABLE} from "./machine.js";
import {seconds, toldLine, writeSteps} from "./steps.js";
import {Tick} from "./tick.js";
import {Watch} from "./watch.js";

/** @typedef {import("./steps.js").Line} Line */
/** @typedef {import("./machine.js").Event} Event */

/** @type {{id: string, name: string, lines: Line[]}} */
const {id, name, lines} = pageData();
const keep = new Keep(id);
const log = new Log(keep, `${name}_log`);
const steady = new Steady();
const watch = new Watch();
const tick = new Tick();
/** How a run stands, as it is kept: the step to go on at, and what it came to. `place` -1: not begun. */
let run = {place: -1, isRehearsal: false, at: 0, all_ms: 0, cut_ms: 0, n_cut: 0};
/** Number of the step that is shown: the place, or one before it that is looked at. */
let index = -1;
let boundary = 0;
/** Whether what was kept was looked at: before that nobody begins, since there may be a place to go on at. */
let hasLooked = false;
/** When the step came, and when the run was counted last, by the steady clock. */
let stepSince_ms = 0;
let countedAt_ms = 0;
/** Row of the log of a stopped watch, and when it was stopped. */
let stoppedRow = -1;
let stoppedSince_ms = 0;

/** @type {Machine<import("./machine.js").Phase, Event, import("./machine.js").Action, null>} */
const machine = new Machine(TABLE, "before", {
  startRun: () => start(false),
  startRehearsal: () => start(true),
  forward: event => { if (event !== "over") hands.guard(); endStop(); go(run.place + 1); },
  goBack: () => { note("one step back"); hands.guard(); look(index - 1); },
  lookOn: () => { hands.guard(); look(index + 1); },
  goOnward: () => { note("back at the place"); hands.guard(); look(run.place); },
  startWatch: () => { watch.start(); wake(); },
  stopWatch: () => { watch.stop(); beginStop("watch stopped"); },
  holdWatch: () => { watch.stop(); beginStop("watch stopped for a step back"); },
  letWatchGoOn: () => { endStop(); watch.goOn(); wake(); },
  noteEarly: noteEarly,
  sayHold: () => put(at("says"), "This is the candidates’ time. To end it early, hold the space bar or the button for one second."),
  offer: offer,
  takeUp: takeUp,
  startAnew: () => { note("set back to the beginning", run.place); run = {...run, place: -1}; go(-1); },
  finish: finish,
}, {entering: () => {}, entered: show});

/** @param {Event} event */
function send(event) {
  machine.send(event, null);
}

const hands = new Hands(send, () => index, isInSilence);

function isOffered() {
  return machine.phase === "offered" || machine.phase === "rehearsed";
}

function isInSilence() {
  return machine.phase === "silence" || machine.phase === "stopped";
}

/**
 * @param {string} what
 * @param {number} step
 * @param {Partial<import("../shared/log.js").Entry>} [more]
 */
function note(what, step = index, more) {
  const where = step < 0 ? "Not started" : `Step ${step + 1}: ${lines[step]?.[4] ?? "End"}`;
  return log.add(run.isRehearsal ? `rehearsal: ${what}` : what, null, where, more);
}

/** @param {boolean} isRehearsal */
function start(isRehearsal) {
  run = {place: -1, isRehearsal, at: Date.now(), all_ms: 0, cut_ms: 0, n_cut: 0};
  countedAt_ms = steady.now_ms;
  note("started");
}

/** Count what has passed of the run, and keep how it stands. */
function count() {
  const now_ms = steady.now_ms;
  if (run.place >= 0 && run.place < lines.length && !isOffered()) run.all_ms += now_ms - countedAt_ms;
  countedAt_ms = now_ms;
  keep.write("run", {...run, at: Date.now()});
}

/**
 * Come to a new step.
 * @param {number} step
 */
function go(step) {
  run.place = Math.max(-1, Math.min(lines.length, step));
  arrive(run.place);
}

/**
 * Look at an earlier step, or come back to the place: a silence that was begun there waits with its watch.
 * @param {number} step
 */
function look(step) {
  if (step >= run.place) {
    arrive(run.place, true);
    return;
  }
  clearTimeout(boundary);
  index = Math.max(0, step);
  put(at("says"), "");
  send("atLooking");
}

/** @param {number} step */
function arrive(step, isAgain = false) {
  clearTimeout(boundary);
  index = step;
  stepSince_ms = steady.now_ms;
  put(at("says"), "");
  count();
  sums();
  const line = lines[index];
  if (!line) send(index < 0 ? "atStart" : "atEnd");
  else if (line[0] !== "wait") send("atWords");
  else send(isAgain ? "atStopped" : "atSilence");
}

/** The silence is over: the next sentence comes by itself, from the exact time on. */
function wake() {
  clearTimeout(boundary);
  if (machine.phase !== "silence") return;
  const rest_ms = lines[index][5] - watch.passed_ms;
  tick.at(watch.passed_ms);
  if (rest_ms <= 0) send("over");
  else boundary = setTimeout(wake, Math.max(1, Math.min(rest_ms, 200, 1000 - watch.passed_ms % 1000)));
}

/** @param {string} what */
function beginStop(what) {
  stoppedRow = note(what);
  stoppedSince_ms = steady.now_ms;
}

function endStop() {
  if (stoppedRow >= 0) log.change(stoppedRow, {lasted_ms: steady.now_ms - stoppedSince_ms});
  stoppedRow = -1;
}

function noteEarly() {
  const cut_ms = Math.max(0, lines[index][5] - watch.passed_ms);
  run.cut_ms += cut_ms;
  run.n_cut += 1;
  note(`silence ended early, after ${passed()}: ${exactLength(cut_ms)} cut`, index, {lasted_ms: cut_ms});
}

function finish() {
  note("ended", lines.length, {lasted_ms: run.all_ms});
  put(at("says"), "All was read. Save or print the log.");
}

// ---- a page that was opened again

function offer() {
  const where = `step ${run.place + 1} of ${lines.length}, ${lines[run.place][4]}`;
  const when = `${dayOf(run.at)} at ${clockTime(run.at, false)}`;
  index = run.place;
  put(at("says"), run.isRehearsal
    ? `This was rehearsed to ${where}, on ${when}. Start again for the test, or go on rehearsing.`
    : `The test was interrupted at ${where}, on ${when}. Go on there: a silence begins again by hand, so that nobody is short of time.`);
}

function takeUp() {
  countedAt_ms = steady.now_ms;
  note("the page was opened again; went on here", run.place);
  hands.guard();
  if (lines[run.place][0] === "wait") watch.reset();
  arrive(run.place, true);
}

// ---- drawing

/** Return how much of a silence has passed, as "3 of 6 seconds". */
function passed() {
  const length_ms = lines[index][5];
  return `${Math.floor(Math.min(watch.passed_ms, length_ms) / 1000)} of ${seconds(length_ms)}`;
}

/** What the large button says. @param {Line | undefined} line */
function label(line) {
  const {phase} = machine;
  if (!hasLooked) return "Looking …";
  if (isOffered()) return run.isRehearsal ? "Start again" : `Go on at step ${run.place + 1}`;
  if (phase === "looking") return "Next step";
  if (!line) return phase === "end" ? "Ended" : "Begin the test";
  return line[0] === "say" ? "I have said it: next" : isInSilence() ? "Hold to end the silence" : "Next";
}

function show() {
  const {phase} = machine;
  const focused = document.activeElement;
  const isAsked = isOffered();
  /** @type {Line | undefined} */
  const line = isAsked ? undefined : lines[index];
  /** @type {Line | undefined} */
  const next = isAsked ? undefined : lines[index + 1];
  const mode = run.isRehearsal && run.place >= 0 ? "Rehearsal. " : "";
  put(at("where"), isAsked ? (run.isRehearsal ? "Rehearsed before" : "The test was interrupted")
    : line ? mode + line[4] : index < 0 ? "Not started" : "The end");
  put(at("count"), line ? `Step ${index + 1} of ${lines.length}${phase === "looking" ? `, your place is step ${run.place + 1}` : ""}`
    : counted(lines.length, "step"));
  put(at("speaker"), line?.[3] ? `${line[3]}:` : "");
  put(at("words"), line ? line[1] : "");
  at("words").classList.toggle("other", Boolean(line) && line?.[0] !== "say");
  put(at("printed"), line?.[2] ? `printed: ${line[2]}` : "");
  put(at("next"), label(line));
  button("next").disabled = phase === "end" || !hasLooked;
  button("rehearse").disabled = !hasLooked;
  button("before").disabled = phase === "before" || isAsked || index === 0;
  button("before").hidden = phase === "before" || isAsked;
  button("hold").hidden = !isInSilence();
  button("onward").hidden = phase !== "looking";
  put(at("onward"), `Back to step ${run.place + 1}`);
  button("rehearse").hidden = phase !== "before" && !(isAsked && run.isRehearsal);
  put(at("rehearse"), isAsked ? "Go on rehearsing" : "Rehearse");
  button("restart").hidden = !isAsked || run.isRehearsal;
  put(at("hold"), phase === "stopped" ? "Let the watch go on" : "Stop the watch");
  put(at("next-says"), next ? `Then: ${toldLine(next)}` : "");
  if (focused instanceof HTMLElement && focused !== document.body
    && (focused.hidden || (focused instanceof HTMLButtonElement && focused.disabled))) {
    (button("next").disabled ? at("where") : button("next")).focus({preventScroll: true});
  }
  drawWatch();
}

function drawWatch() {
  const line = isOffered() || machine.phase === "looking" ? undefined : lines[index];
  const isSaid = line?.[0] === "say";
  at("bar").classList.toggle("on", isInSilence() || isSaid);
  at("bar").classList.toggle("pace", isSaid);
  if (isInSilence() && line) {
    at("fill").style.width = `${100 * (1 - Math.min(watch.passed_ms, line[5]) / line[5])}%`;
    put(at("watch"), `${passed()} passed${machine.phase === "stopped" ? ", watch stopped" : ""}`);
  } else if (isSaid && line) {
    const isCalm = matchMedia("(prefers-reduced-motion: reduce)").matches;
    const gone_ms = steady.now_ms - stepSince_ms;
    const shown_ms = isCalm ? 1000 * Math.floor(gone_ms / 1000) : gone_ms;
    at("fill").style.width = `${Math.min(100, 100 * shown_ms / Math.max(1, line[5]))}%`;
    put(at("watch"), `The track takes about ${seconds(Math.max(1000, Math.round(line[5] / 1000) * 1000))} for this.`);
  } else {
    put(at("watch"), "");
  }
}

function sums() {
  if (run.place < 0) return;
  const cut = run.n_cut ? `${exactLength(run.cut_ms)} were cut in ${counted(run.n_cut, "silence")}.` : "no silence was cut.";
  log.sum(`${run.isRehearsal ? "Rehearsal: " : ""}since the start ${exactLength(run.all_ms)}; ${cut}`);
}

function frame() {
  drawWatch();
  requestAnimationFrame(frame);
}

// ---- the page

async function lookBack() {
  let found = null;
  try {
    const kept = await keep.open();
    if (!kept.page && !kept.disk) put(at("says"), "This browser keeps neither place nor log. Save the log before you close this page.");
    log.load(await keep.newest("log"));
    found = await keep.newest("run");
  } finally {
    hasLooked = true;
    show();
  }
  if (!found || found.place < 0 || found.place >= lines.length) return;
  run = {...run, ...found};
  send(run.isRehearsal ? "keptRehearsal" : "kept");
}

history.scrollRestoration = "manual";
writeSteps(lines);
setUpLook();
element("tick", HTMLInputElement).addEventListener("change", event => {
  tick.isOn = event.target instanceof HTMLInputElement && event.target.checked;
});
window.addEventListener("beforeunload", event => { if (run.place >= 0 && run.place < lines.length && !isOffered()) event.preventDefault(); });
window.addEventListener("pagehide", () => { if (run.place >= 0 && !isOffered()) count(); });
setInterval(() => { if (run.place >= 0 && !isOffered()) { count(); sums(); } }, 1000);
show();
requestAnimationFrame(frame);
lookBack();
