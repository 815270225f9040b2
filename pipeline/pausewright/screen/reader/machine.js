// The phases of the reader's screen: what is being done, and what each event does then.

/**
 * | phase   | what is going on |
 * | before  | nothing was read yet |
 * | offered | the page was opened again in a test: how to go on is for a person to choose |
 * | rehearsed | the same after a rehearsal: to start again is what is meant |
 * | words   | a sentence is to be said, a sound to be played, or candidates to be waited for |
 * | silence | a silence of the candidates is counted |
 * | stopped | its watch was stopped |
 * | looking | an earlier step is looked at or said again; the place is kept |
 * | end     | all was read |
 * @typedef {"before" | "offered" | "rehearsed" | "words" | "silence" | "stopped" | "looking" | "end"} Phase
 */

/**
 * | event     | who or what |
 * | next      | a hand: said, go on |
 * | rehearse  | a hand: begin a rehearsal, or go on with it |
 * | held      | a hand that kept the key or button down: end this silence now |
 * | restart      | a hand that kept the button down: start again from the beginning |
 * | watch     | a hand: stop the watch, or let it go on |
 * | back      | a hand: one step back |
 * | onward    | a hand: back to the place |
 * | over      | the silence has lasted as long as it should |
 * | kept      | a test that did not come to its end was kept |
 * | keptRehearsal | a rehearsal was kept |
 * | atStart, atWords, atSilence, atStopped, atLooking, atEnd | the step that was gone to is of this kind |
 * @typedef {"next" | "rehearse" | "held" | "restart" | "watch" | "back" | "onward" | "over" | "kept" | "keptRehearsal" | "atStart"
 *   | "atWords" | "atSilence" | "atStopped" | "atLooking" | "atEnd"} Event
 */

/**
 * @typedef {"startRun" | "startRehearsal" | "forward" | "goBack" | "lookOn" | "goOnward" | "startWatch" | "stopWatch"
 *   | "holdWatch" | "letWatchGoOn" | "noteEarly" | "sayHold" | "offer" | "takeUp" | "startAnew" | "finish"} Action
 */

/** @type {readonly Event[]} */
export const EVENTS = [
  "next", "rehearse", "held", "restart", "watch", "back", "onward", "over", "kept", "keptRehearsal", "atStart", "atWords", "atSilence",
  "atStopped", "atLooking", "atEnd",
];

/**
 * @param {Phase} phase
 * @param {...Action} does
 */
const to = (phase, ...does) => ({to: phase, does});

const ARRIVALS = {
  atStart: to("before"), atWords: to("words"), atSilence: to("silence", "startWatch"), atStopped: to("stopped"),
  atLooking: to("looking"), atEnd: to("end", "finish"),
};

/** @type {import("../shared/machine.js").Table<Phase, Event, Action>} */
export const TABLE = {
  before: {
    ...ARRIVALS,
    next: to("before", "startRun", "forward"),
    rehearse: to("before", "startRehearsal", "forward"),
    kept: to("offered", "offer"),
    keptRehearsal: to("rehearsed", "offer"),
  },
  offered: {
    ...ARRIVALS,
    next: to("offered", "takeUp"),
    restart: to("offered", "startAnew"),
  },
  rehearsed: {
    ...ARRIVALS,
    next: to("rehearsed", "startAnew"),
    rehearse: to("rehearsed", "takeUp"),
  },
  words: {
    ...ARRIVALS,
    next: to("words", "forward"),
    back: to("words", "goBack"),
  },
  silence: {
    ...ARRIVALS,
    next: to("silence", "sayHold"),
    held: to("silence", "noteEarly", "forward"),
    watch: to("stopped", "stopWatch"),
    back: to("stopped", "holdWatch", "goBack"),
    over: to("silence", "forward"),
  },
  stopped: {
    ...ARRIVALS,
    next: to("stopped", "sayHold"),
    held: to("stopped", "noteEarly", "forward"),
    watch: to("silence", "letWatchGoOn"),
    back: to("stopped", "goBack"),
  },
  looking: {
    ...ARRIVALS,
    atEnd: to("end"),
    next: to("looking", "lookOn"),
    back: to("looking", "goBack"),
    onward: to("looking", "goOnward"),
  },
  end: {
    ...ARRIVALS,
    atEnd: to("end"),
    back: to("end", "goBack"),
  },
};
