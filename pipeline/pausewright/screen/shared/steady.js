// A clock that nobody can set: for lengths. What time it is is for the computer's clock to say.

/** A difference of the two clocks by more is a computer that slept, or a clock that was set. */
const JUMP_MS = 2000;

export class Steady {
  constructor() {
    this.date = Date.now();
    this.since = performance.now();
    this.sum_ms = 0;
    /** What the computer's clock jumped by since it was asked last: forward, or back if below 0. */
    this.jumped_ms = 0;
  }

  /** Milliseconds that have passed since the page was opened; a time asleep is one of them. */
  get now_ms() {
    const dated_ms = Date.now() - this.date;
    const passed_ms = performance.now() - this.since;
    this.date += dated_ms;
    this.since += passed_ms;
    const off_ms = dated_ms - passed_ms;
    if (Math.abs(off_ms) > JUMP_MS) this.jumped_ms += off_ms;
    this.sum_ms += off_ms > JUMP_MS ? dated_ms : passed_ms;
    return this.sum_ms;
  }

  /** Return by how much the computer's clock has jumped since this was asked last. */
  takeJump() {
    const {jumped_ms} = this;
    this.jumped_ms = 0;
    return jumped_ms;
  }
}
