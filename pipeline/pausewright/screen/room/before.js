// What is looked at before the start, and what is said of it.

import {lengthInWords} from "../shared/words.js";
import {stayAwake} from "./awake.js";

/** A recording of another length is not the one that the page was made for. */
const OFF_S = 0.25;

/**
 * Return whether the recording serves; say how it is.
 * @param {import("./media.js").Media} media
 * @param {import("./track.js").Track} track
 * @param {import("./view.js").View} view
 */
export async function lookAtRecording(media, track, view) {
  media.takeHeld();
  try {
    await media.loaded();
  } catch {
    view.check("recording", `The recording cannot be played. The file ${track.data.track} must lie in the same folder as this page, under its own name. If it does, this browser cannot play it: use another one, or the plain track in another player.`, true);
    return false;
  }
  const found_s = media.audio.duration;
  if (Math.abs(found_s - track.length_s) > OFF_S) {
    view.check("recording", `The recording beside this page lasts ${lengthInWords(found_s)}, and this page was made for ${lengthInWords(track.length_s)}. Do not use it: copy the whole folder again.`, true);
    return false;
  }
  view.check("recording", `The recording is here and lasts ${lengthInWords(track.length_s)} without stops.`);
  return true;
}

/**
 * Say what the browser can do.
 * @param {import("../shared/keep.js").Keep} keep
 * @param {import("./view.js").View} view
 */
export async function lookAtBrowser(keep, view) {
  const kept = await keep.open();
  if (kept.page && kept.disk) view.check("keep", "This browser keeps the place if the page closes or the computer fails.");
  else if (kept.page) view.check("keep", "This browser keeps the place if the page closes, but may lose the last seconds if the computer fails. Note the clock time at each question.", true);
  else view.check("keep", "This browser does not keep the place (a private window, or its settings). If the page closes you must start again from the beginning. Use an ordinary window, or have the running sheet at hand.", true);
  if (await stayAwake()) view.check("awake", "This page keeps the screen awake while it is in front.");
  else view.check("awake", "This browser cannot keep the screen awake. Set the computer so that it does not sleep, and keep the lid open.", true);
}
