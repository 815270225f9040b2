// The test of the sound before the start: the first instruction, or a tone, at the level of the slider.

/** So much is played after the words, for a room that echoes. */
const AFTER_MS = 150;

export class SoundTest {
  /** @param {import("./room.js").Room} room */
  constructor(room) {
    this.room = room;
    this.wasMade = false;
    /** Where in the recording the test ends. */
    this.end_ms = Infinity;
  }

  async start() {
    const {clockwork, hands, media, playing, send, track, view} = this.room;
    hands.guard();
    this.end_ms = Infinity;
    const words = track.data.first_words;
    if (!words) {
      view.say("Sound test: a tone.");
      media.playTone();
      return;
    }
    view.say("Sound test: the first instruction.");
    if (!await playing.gone(words[0] / 1000)) return;
    const why = await media.play();
    if (why) {
      send("silent", {why});
      return;
    }
    this.end_ms = words[1] + AFTER_MS;
    clockwork.schedule();
  }

  async backToStart() {
    await this.room.media.jump(0);
    this.room.send("arrived");
  }

  /** @param {number} volume from 0 to 1 */
  setLevel(volume) {
    this.room.media.audio.volume = volume;
    this.room.view.showLevel(volume);
    this.show();
  }

  /** Say whether the sound was tested, and how loud. */
  show() {
    const {machine, media, view} = this.room;
    if (machine.phase !== "ready") return;
    if (this.wasMade) view.check("sound", `You tested the sound at level ${Math.round(media.audio.volume * 100)} of 100.`);
    else view.check("sound", "You have not tested the sound yet.", true);
  }
}
