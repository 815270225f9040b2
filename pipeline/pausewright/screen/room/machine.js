// The phases of the room screen: what is going on, and what each event does then.
//
// This is the whole of the page's behaviour as data. The actions are in room.js; an event that has
// no row in a phase does nothing there. The tests walk through every pair.

import {extended} from "../shared/machine.js";

/**
 * | phase    | what is going on |
 * | loading  | looking whether recording and browser serve |
 * | unusable | this recording cannot be played here; only loading the page again helps |
 * | asking   | asking the other windows whether one of them has the recording |
 * | refused  | another window has it |
 * | offered  | the test was interrupted: how to go on is for a person to choose |
 * | untested | the sound was not tested yet |
 * | trying   | the sound is being tested |
 * | ready    | the sound was tested, and the test may be started |
 * | starting | on the way to playing: to its place, then until the browser plays |
 * | playing  | the test is heard |
 * | paused   | somebody or something has paused it |
 * | halted   | it waits at a stop of the script |
 * | ended    | the last word is over |
 * @typedef {"loading" | "unusable" | "asking" | "refused" | "offered" | "untested" | "trying" | "ready"
 *   | "starting" | "playing" | "paused" | "halted" | "ended"} Phase
 */

/**
 * | event       | who or what |
 * | loaded      | the recording is here and is what it should be |
 * | unplayable  | it is not |
 * | taken       | another window has the recording |
 * | interrupted | nobody else has it, and a place in the middle was kept |
 * | fresh       | nobody else has it, and there is nothing to go on with |
 * | lookAgain   | a hand: ask the other windows once more |
 * | press       | a hand: the large button, and the space bar while the test is under way |
 * | test        | a hand: test the sound once more |
 * | skip        | a hand: start without a test of the sound |
 * | repeat      | a hand: go on from the start of this question |
 * | restart        | a hand that kept the button down, after an interruption: from the very beginning |
 * | visit       | a hand, in practice: go to a place |
 * | mediaPause  | the pause key of a keyboard or headset |
 * | tested      | the test of the sound has come to its end |
 * | sounding    | the browser plays |
 * | silent      | the browser would not play |
 * | sounds      | something lets the recording sound |
 * | stopped     | something paused the sound |
 * | stuck       | the sound stands still though it should play |
 * | unplugged   | a sound device came or went |
 * | asleep      | the computer slept, or its clock was set forward |
 * | failed      | the recording cannot be read any more |
 * | soundless   | the computer has no sound output that works |
 * | stop        | a stop of the script is reached |
 * | over        | the recording is at its end |
 * @typedef {"loaded" | "unplayable" | "taken" | "interrupted" | "fresh" | "lookAgain" | "press" | "test"
 *   | "skip" | "repeat" | "restart" | "visit" | "mediaPause" | "tested" | "sounding" | "silent" | "sounds"
 *   | "stopped" | "stuck" | "unplugged" | "asleep" | "failed" | "soundless" | "stop" | "over"} Event
 */

/**
 * @typedef {"askOthers" | "sayTaken" | "offer" | "forget" | "begin" | "goOn" | "goOnAfterStop" | "repeatQuestion"
 *   | "resumeHere" | "resumeQuestion" | "testSound" | "endTest" | "noteTested" | "noteUntested" | "hush"
 *   | "notePause" | "sayUntestable" | "sayUnplayed" | "sayFailed" | "saySoundless" | "stepBack" | "waitAtStop" | "awaken"
 *   | "finish" | "visitPlace"} Action
 */

/** @type {readonly Event[]} */
export const EVENTS = [
  "loaded", "unplayable", "taken", "interrupted", "fresh", "lookAgain", "press", "test", "skip", "repeat", "restart",
  "visit", "mediaPause", "tested", "sounding", "silent", "sounds", "stopped", "stuck", "unplugged", "asleep",
  "failed", "soundless", "stop", "over",
];

/**
 * @param {Phase} phase
 * @param {...Action} does
 */
const to = (phase, ...does) => ({to: phase, does});

/** @type {import("../shared/machine.js").Table<Phase, Event, Action>} */
export const TABLE = {
  loading: {
    loaded: to("asking", "askOthers"),
    unplayable: to("unusable"),
    sounds: to("loading", "hush"),
  },
  unusable: {
    sounds: to("unusable", "hush"),
  },
  asking: {
    taken: to("refused", "sayTaken"),
    interrupted: to("offered", "offer"),
    fresh: to("untested"),
    sounds: to("asking", "hush"),
  },
  refused: {
    press: to("asking", "askOthers"),
    lookAgain: to("asking", "askOthers"),
    sounds: to("refused", "hush"),
  },
  offered: {
    press: to("starting", "resumeHere"),
    repeat: to("starting", "resumeQuestion"),
    restart: to("untested", "forget"),
    sounds: to("offered", "hush"),
  },
  untested: {
    press: to("trying", "testSound"),
    skip: to("starting", "noteUntested", "begin"),
    sounds: to("untested", "hush"),
  },
  trying: {
    press: to("untested", "endTest"),
    tested: to("ready", "endTest", "noteTested"),
    silent: to("untested", "endTest", "sayUntestable"),
    sounds: to("trying", "hush"),
  },
  ready: {
    press: to("starting", "begin"),
    test: to("trying", "testSound"),
    sounds: to("ready", "hush"),
  },
  starting: {
    sounding: to("playing", "awaken"),
    silent: to("paused", "sayUnplayed"),
    press: to("paused", "hush", "notePause"),
    mediaPause: to("paused", "hush", "notePause"),
    unplugged: to("paused", "hush", "notePause"),
    failed: to("paused", "hush", "notePause", "sayFailed"),
    soundless: to("paused", "hush", "notePause", "saySoundless"),
    stop: to("halted", "hush", "waitAtStop"),
    over: to("ended", "finish"),
  },
  playing: {
    press: to("paused", "hush", "notePause"),
    mediaPause: to("paused", "hush", "notePause"),
    stopped: to("paused", "hush", "notePause"),
    stuck: to("paused", "hush", "notePause"),
    unplugged: to("paused", "hush", "notePause"),
    asleep: to("paused", "hush", "notePause", "stepBack"),
    failed: to("paused", "hush", "notePause", "sayFailed"),
    soundless: to("paused", "hush", "notePause", "saySoundless"),
    stop: to("halted", "hush", "waitAtStop"),
    over: to("ended", "finish"),
  },
  paused: {
    press: to("starting", "goOn"),
    repeat: to("starting", "repeatQuestion"),
    sounds: to("paused", "hush"),
    over: to("ended", "finish"),
  },
  halted: {
    press: to("starting", "goOnAfterStop"),
    sounds: to("halted", "hush"),
    over: to("ended", "finish"),
  },
  ended: {
    sounds: to("ended", "hush"),
  },
};

/** What is possible besides where the script says `use: practice`: going to any place, and once more. */
export const PRACTICE = extended(TABLE, {
  untested: {visit: to("paused", "visitPlace")},
  ready: {visit: to("paused", "visitPlace")},
  playing: {visit: to("playing", "visitPlace")},
  paused: {visit: to("paused", "visitPlace")},
  halted: {visit: to("paused", "visitPlace")},
  ended: {visit: to("paused", "visitPlace"), press: to("starting", "begin")},
});

/**
 * Phases in which the test has begun and is not over.
 * @param {Phase} phase
 */
export function isUnderWay(phase) {
  return phase === "playing" || isStanding(phase);
}

/**
 * Phases in which the test has begun and stands still.
 * @param {Phase} phase
 */
export function isStanding(phase) {
  return phase === "paused" || phase === "halted";
}
