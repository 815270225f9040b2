// The phases of the reader's screen: what is being done, and what each event does then.

/**
 * | phase   | what is going on |
 * | before  | nothing was read yet |
 * | words   | a sentence is to be said, a sound to be played, or candidates to be waited for |
 * | silence | a silence of the candidates is counted |
 * | stopped | its watch was stopped |
 * | end     | all was read |
 * @typedef {"before" | "words" | "silence" | "stopped" | "end"} Phase
 */

/**
 * | event     | who or what |
 * | next      | a hand: said, go on |
 * | held      | a hand that kept the key or button down: end this silence now |
 * | watch     | a hand: stop the watch, or let it go on |
 * | back      | a hand: one step back |
 * | over      | the silence has lasted as long as it should |
 * | atStart, atWords, atSilence, atEnd | the step that was gone to is of this kind |
 * @typedef {"next" | "held" | "watch" | "back" | "over" | "atStart" | "atWords" | "atSilence" | "atEnd"} Event
 */

/** @typedef {"forward" | "goBack" | "startWatch" | "stopWatch" | "letWatchGoOn" | "noteEarly" | "sayHold"} Action */

/** @type {readonly Event[]} */
export const EVENTS = ["next", "held", "watch", "back", "over", "atStart", "atWords", "atSilence", "atEnd"];

/**
 * @param {Phase} phase
 * @param {...Action} does
 */
const to = (phase, ...does) => ({to: phase, does});

const ARRIVALS = {
  atStart: to("before"), atWords: to("words"), atSilence: to("silence", "startWatch"), atEnd: to("end"),
};

/** @type {import("../shared/machine.js").Table<Phase, Event, Action>} */
export const TABLE = {
  before: {
    ...ARRIVALS,
    next: to("before", "forward"),
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
    back: to("silence", "goBack"),
    over: to("silence", "forward"),
  },
  stopped: {
    ...ARRIVALS,
    next: to("stopped", "sayHold"),
    held: to("stopped", "noteEarly", "forward"),
    watch: to("silence", "letWatchGoOn"),
    back: to("stopped", "goBack"),
  },
  end: {
    ...ARRIVALS,
    back: to("end", "goBack"),
  },
};
