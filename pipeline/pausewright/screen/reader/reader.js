// The reader's screen: one sentence at a time for a person who reads aloud, silences by the watch.

import {at, button, pageData, put} from "../shared/elements.js";
import {Keep} from "../shared/keep.js";
import {Log} from "../shared/log.js";
import {setUpLook} from "../shared/look.js";
import {Machine} from "../shared/machine.js";
import {counted, lengthInWords} from "../shared/words.js";
import {Hands} from "./hands.js";
import {TABLE} from "./machine.js";
import {Watch} from "./watch.js";

/**
 * One step. `kind` is say, play, wait (a silence) or signal (candidates are waited for).
 * @typedef {[kind: string, text: string, printed: string, speaker: string, where: string, length_ms: number]} Line
 */

/** @type {{id: string, name: string, lines: Line[]}} */
const {id, name, lines} = pageData();
const keep = new Keep(id);
const log = new Log(keep, `${name}_log`);
const watch = new Watch();
/** Number of the step that is shown; -1 before the first. */
let index = -1;
let boundary = 0;

/** @type {Machine<import("./machine.js").Phase, import("./machine.js").Event, import("./machine.js").Action, null>} */
const machine = new Machine(TABLE, "before", {
  forward: event => { if (event !== "over") hands.guard(); go(index + 1); },
  goBack: () => { note("one step back"); hands.guard(); go(index - 1); },
  startWatch: () => { watch.start(); wake(); },
  stopWatch: () => { watch.stop(); note("watch stopped"); },
  letWatchGoOn: () => { note("watch goes on"); watch.goOn(); wake(); },
  noteEarly: () => note(`silence ended early, after ${passed()}`),
  sayHold: () => put(at("says"), "To end the silence early, hold the space bar or the button for one second."),
}, {entering: () => {}, entered: show});

/** @param {import("./machine.js").Event} event */
function send(event) {
  machine.send(event, null);
}

const hands = new Hands(send, () => index, isInSilence);

function isInSilence() {
  return machine.phase === "silence" || machine.phase === "stopped";
}

/** @param {string} what */
function note(what) {
  log.add(what, null, `Step ${index + 1}: ${lines[index]?.[4] ?? "End"}`);
}

/** @param {number} step */
function go(step) {
  clearTimeout(boundary);
  index = Math.max(-1, Math.min(lines.length, step));
  put(at("says"), "");
  keep.write("step", index);
  const line = lines[index];
  send(line ? (line[0] === "wait" ? "atSilence" : "atWords") : index < 0 ? "atStart" : "atEnd");
}

/** The silence is over: the next sentence comes by itself, from the exact time on. */
function wake() {
  clearTimeout(boundary);
  if (machine.phase !== "silence") return;
  const rest_ms = lines[index][5] - watch.passed_ms;
  if (rest_ms <= 0) send("over");
  else boundary = setTimeout(wake, Math.max(1, Math.min(rest_ms, 500)));
}

// ---- drawing

/** @param {number} ms */
function seconds(ms) {
  const s = ms / 1000;
  return Number.isInteger(s) || s >= 60 ? lengthInWords(s) : `${s.toFixed(1)} seconds`;
}

/** Return how much of a silence has passed, as "3 of 6 seconds". */
function passed() {
  const length_ms = lines[index][5];
  return `${Math.floor(Math.min(watch.passed_ms, length_ms) / 1000)} of ${seconds(length_ms)}`;
}

/** @param {Line} line */
function told(line) {
  return line[0] === "wait" ? `${line[1]}: ${seconds(line[5])}` : line[1];
}

function show() {
  /** @type {Line | undefined} */
  const line = lines[index];
  /** @type {Line | undefined} */
  const next = lines[index + 1];
  const {phase} = machine;
  put(at("where"), line ? line[4] : index < 0 ? "Not started" : "The end");
  put(at("count"), line ? `Step ${index + 1} of ${lines.length}` : counted(lines.length, "step"));
  put(at("speaker"), line?.[3] ? `${line[3]}:` : "");
  put(at("words"), line ? line[1] : "");
  at("words").classList.toggle("other", Boolean(line) && line[0] !== "say");
  put(at("printed"), line?.[2] ? `printed: ${line[2]}` : "");
  put(at("next"), !line ? "Begin" : line[0] === "say" ? "I have said it: next"
    : isInSilence() ? "Hold to end the silence" : "Next");
  button("next").disabled = phase === "end";
  button("before").disabled = phase === "before";
  button("hold").disabled = !isInSilence();
  put(at("hold"), phase === "stopped" ? "Let the watch go on" : "Stop the watch");
  put(at("next-says"), next ? `Then: ${told(next)}` : "");
  drawWatch();
}

function drawWatch() {
  const line = lines[index];
  at("bar").classList.toggle("on", isInSilence());
  if (isInSilence()) {
    at("fill").style.width = `${100 * (1 - Math.min(watch.passed_ms, line[5]) / line[5])}%`;
    put(at("watch"), `${passed()} passed${machine.phase === "stopped" ? ", watch stopped" : ""}`);
  } else {
    put(at("watch"), line && line[0] === "say"
      ? `The track takes about ${seconds(Math.max(1000, Math.round(line[5] / 1000) * 1000))} for this.` : "");
  }
}

function frame() {
  drawWatch();
  requestAnimationFrame(frame);
}

// ---- the page

async function lookBack() {
  await keep.open();
  log.load(await keep.newest("log"));
  const step = await keep.newest("step");
  if (!Number.isInteger(step) || step < 0 || step >= lines.length || index >= 0) return;
  go(step);
  if (machine.phase === "silence") send("watch");  // begins again by hand, so that nobody is short of time
  put(at("says"), `This page was opened again: it goes on at step ${index + 1}.`);
  note("the page was opened again");
}

at("steps").replaceChildren(...lines.map(line => {
  const item = document.createElement("li");
  item.textContent = `${line[3] ? `${line[3]}: ` : ""}${told(line)}${line[2] ? ` (printed: ${line[2]})` : ""}`;
  return item;
}));
setUpLook();
show();
requestAnimationFrame(frame);
lookBack();
