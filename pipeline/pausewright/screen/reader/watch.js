// A stopwatch that can be stopped and go on.

export class Watch {
  constructor() {
    this.since = 0;
    this.stood_ms = 0;
    this.isRunning = false;
  }

  /** Count from nothing. */
  start() {
    this.stood_ms = 0;
    this.goOn();
  }

  /** Stand at nothing until somebody lets it go on. */
  reset() {
    this.stood_ms = 0;
    this.isRunning = false;
  }

  goOn() {
    this.since = performance.now();
    this.isRunning = true;
  }

  stop() {
    this.stood_ms = this.passed_ms;
    this.isRunning = false;
  }

  get passed_ms() {
    return this.stood_ms + (this.isRunning ? performance.now() - this.since : 0);
  }
}
