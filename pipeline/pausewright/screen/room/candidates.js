// What candidates see: part, number, what to do now, time where it is declared, captions. Nothing of the staff's.

import {at, put} from "../shared/elements.js";
import {lengthInSigns, lengthInWords} from "../shared/words.js";
import {isUnderWay} from "./machine.js";

/**
 * What is seen before and after the test, by its name in the table of words.
 * @type {Partial<Record<import("./machine.js").Phase, string>>}
 */
const AROUND = {trying: "sound-check", ended: "end"};

export class CandidatesScreen {
  /** @param {import("./track.js").Track} track */
  constructor(track) {
    this.track = track;
    /** In the language of the script, where there is a table of them. */
    this.words = track.data.words;
    /** Caption that is shown. @type {unknown} */
    this.caption = null;
    this.hasCaptions = true;
  }

  /**
   * Show a phase at a place.
   * @param {import("./machine.js").Phase} phase
   * @param {number} s
   */
  draw(phase, s) {
    const isOn = isUnderWay(phase) || phase === "starting";
    const stretch = isOn ? this.track.stretchAt(s) : null;
    const asked = stretch?.[5] ?? null;
    const does = !stretch ? this.words[AROUND[phase] ?? "please-wait"] : this.doing(phase, s, stretch);
    put(at("c-part"), stretch?.[4] ?? "");
    put(at("c-name"), asked ? asked[0] : "");
    put(at("c-number"), asked ? asked[1] : does);
    put(at("c-of"), asked?.[2] ? this.words.of.replace("{n}", String(asked[2])) : "");
    put(at("c-doing"), asked ? does : "");
    const number = at("c-number");
    number.classList.toggle("words", !asked);
    number.style.setProperty("--signs", String(Math.max(2, number.textContent?.length ?? 2)));
    this.drawCaption(phase, s);
    if (document.getElementById("c-time")) this.drawTime(isUnderWay(phase) ? this.track.silenceAt(s) : null, s * 1000);
  }

  /**
   * @param {import("./machine.js").Phase} phase
   * @param {number} s
   * @param {import("./track.js").Stretch} stretch
   */
  doing(phase, s, stretch) {
    if (phase === "playing") return this.words[stretch[6]] ?? "";
    const hold = phase === "halted" ? this.track.holdAt(s) : -1;
    return hold >= 0 && this.track.data.halts[hold][4] ? this.words.write : this.words["please-wait"];
  }

  /**
   * @param {import("./machine.js").Phase} phase
   * @param {number} s
   */
  drawCaption(phase, s) {
    const caption = document.getElementById("caption");
    if (!caption) return;
    const cue = isUnderWay(phase) && this.hasCaptions ? this.track.cueAt(s) : null;
    if (cue === this.caption) return;
    this.caption = cue;
    caption.replaceChildren(...(cue ? cue[2] : []).map(text => {
      const line = document.createElement("span");
      line.textContent = text;
      return line;
    }));
  }

  /**
   * Show what is left of a silence, where the script declares that candidates may see it.
   * @param {[start_ms: number, end_ms: number, name: string] | null} silence
   * @param {number} ms
   */
  drawTime(silence, ms) {
    at("c-time").classList.toggle("off", !silence);
    if (!silence) {
      put(at("time-says"), "");
      return;
    }
    const [start_ms, end_ms, name] = silence;
    const left_s = Math.ceil((end_ms - ms) / 1000);
    const isCalm = matchMedia("(prefers-reduced-motion: reduce)").matches;
    const rest_ms = isCalm ? left_s * 1000 : end_ms - ms;
    const time = this.words.language === "en" ? lengthInWords(left_s) : lengthInSigns(left_s);
    put(at("time-says"), this.words.left.replace("{name}", name).replace("{time}", time));
    at("fill").style.width = `${Math.min(100, 100 * rest_ms / (end_ms - start_ms))}%`;
  }
}
