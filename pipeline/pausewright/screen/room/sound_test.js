// The test of the sound before the start: a sentence of the same voice that is none of the test's, or a tone.

import {element} from "../shared/elements.js";
import {heldSound, isOutputLost} from "./media.js";

const TONE_S = 2;
const RAMP_S = 0.05;
const NO_OUTPUT = "no sound output";

export class SoundTest {
  /** @param {import("./room.js").Room} room */
  constructor(room) {
    this.room = room;
    this.wasMade = false;
    this.audio = element("check-sound", HTMLAudioElement);
    /** What a tone sounds in, while it does. @type {AudioContext | null} */
    this.tone = null;
    this.hasFailed = false;
    const held = document.getElementById("held-check");
    if (held) this.audio.src = heldSound(held, room.track.data.type);
    this.audio.addEventListener("ended", () => room.send("tested"));
    this.audio.addEventListener("error", () => { if (isOutputLost(this.audio.error)) this.lose(); });
  }

  async start() {
    const {hands, machine, send, track, view} = this.room;
    const {turn} = machine;
    hands.guard();
    if (!track.data.check || this.hasFailed) {
      view.say("Sound test: a tone.");
      this.playTone();
      return;
    }
    view.say("Sound test: one sentence, as loud and as fast as the test. It is no part of the test.");
    try {
      if (this.audio.error) this.audio.load();
      this.audio.currentTime = 0;
      await this.audio.play();
    } catch (error) {
      if (isOutputLost(this.audio.error)) return;
      this.hasFailed = true;
      if (turn === machine.turn) send("silent", {why: error instanceof Error ? error.name : String(error)});
    }
  }

  /** The computer's sound output fails: a tone would not be heard either. */
  lose() {
    this.room.send("silent", {why: NO_OUTPUT});
  }

  end() {
    this.audio.pause();
    this.tone?.close().catch(() => {});
    this.tone = null;
    this.room.hands.guard();
  }

  /** @param {string} [why] */
  sayUntestable(why) {
    if (why === NO_OUTPUT) {
      this.room.view.trouble("This computer has no sound output that works. Plug in or switch on the loudspeakers or headphones, then press the button again.");
      return;
    }
    this.room.view.trouble(`The sound check ${this.room.track.data.check} did not play (${why}). It must lie beside this page. Press the button again for a tone.`);
  }

  /** @param {number} volume from 0 to 1 */
  setLevel(volume) {
    this.room.media.audio.volume = volume;
    this.audio.volume = volume;
    this.room.view.showLevel(volume);
    this.show();
  }

  /** Say whether the sound was tested, and how loud. */
  show() {
    const {machine, media, view} = this.room;
    if (machine.phase !== "ready" && machine.phase !== "untested") return;
    if (this.wasMade) view.check("sound", `You tested the sound at level ${Math.round(media.audio.volume * 100)} of 100.`);
    else view.check("sound", "You have not tested the sound yet.", true);
  }

  /** Play a tone of two seconds, for a track without a sound check. */
  playTone() {
    const context = new AudioContext();
    const gain = context.createGain();
    const tone = context.createOscillator();
    const level = 0.12 * this.audio.volume;
    const start_s = context.currentTime;
    tone.frequency.value = 520;
    gain.gain.setValueAtTime(0, start_s);
    gain.gain.linearRampToValueAtTime(level, start_s + RAMP_S);
    gain.gain.setValueAtTime(level, start_s + TONE_S - RAMP_S);
    gain.gain.linearRampToValueAtTime(0, start_s + TONE_S);
    tone.connect(gain).connect(context.destination);
    this.tone = context;
    const over = () => { if (this.tone === context) this.room.send("tested"); };
    tone.onended = over;
    setTimeout(over, 2000 * TONE_S);  // a computer without a sound output may never say so
    tone.start();
    tone.stop(start_s + TONE_S);
  }
}
