// A quiet tick at each second of a silence, for an earphone; off unless it is asked for.

const LEVEL = 0.05;
const LENGTH_S = 0.02;

export class Tick {
  constructor() {
    this.isOn = false;
    this.last = -1;
    /** @type {AudioContext | null} */
    this.context = null;
  }

  /**
   * Tick if a second has begun since this was asked last.
   * @param {number} passed_ms of the silence
   */
  at(passed_ms) {
    const second = Math.floor(passed_ms / 1000);
    if (second === this.last) return;
    this.last = second;
    if (!this.isOn || second < 1) return;
    this.context ??= new AudioContext();
    const {context} = this;
    const tone = context.createOscillator();
    const gain = context.createGain();
    tone.frequency.value = 880;
    gain.gain.setValueAtTime(LEVEL, context.currentTime);
    gain.gain.linearRampToValueAtTime(0, context.currentTime + LENGTH_S);
    tone.connect(gain).connect(context.destination);
    tone.start();
    tone.stop(context.currentTime + LENGTH_S);
  }
}
