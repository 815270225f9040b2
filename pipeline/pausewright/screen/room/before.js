// What is looked at before the start, and what is said of it.

import {element} from "../shared/elements.js";
import {exactLength, lengthInWords} from "../shared/words.js";
import {stayAwake} from "./awake.js";

/** A recording of another length is not the one that the page was made for. MP3 is counted in frames. */
const OFF_S = {exact: 0.005, frames: 0.06};

/**
 * Return a hash in hexadecimal, or "" where the browser gives none.
 * @param {BufferSource} bytes
 */
async function sha256(bytes) {
  try {
    const sum = await crypto.subtle.digest("SHA-256", bytes);
    return [...new Uint8Array(sum)].map(byte => byte.toString(16).padStart(2, "0")).join("");
  } catch {
    return "";
  }
}

/**
 * Return whether the page itself is whole: its times, places and captions are those that were written.
 * @param {import("./view.js").View} view
 */
export async function lookAtPage(view) {
  const written = element("staff-main", HTMLElement).dataset.sum ?? "";
  const sum = await sha256(new TextEncoder().encode(element("data", HTMLScriptElement).text));
  if (!sum || sum === written) return true;
  view.check("page", "This page was changed or damaged since it was built: its times or captions may be wrong. Copy the whole folder again, or use the plain track in another player.", true);
  return false;
}

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
  if (Math.abs(found_s - track.length_s) > (track.late_s ? OFF_S.frames : OFF_S.exact)) {
    const found = exactLength(1000 * found_s);
    view.check("recording", `The recording beside this page lasts ${found}, and this page was made for one of ${exactLength(track.data.length_ms)}. Do not use it: copy the whole folder again.`, true);
    return false;
  }
  view.check("recording", `The recording is here and lasts ${lengthInWords(track.length_s)} without stops.`);
  return true;
}

/**
 * Let a person have the file itself compared, to the last byte: a page cannot open it by itself.
 * @param {import("./track.js").Track} track
 * @param {import("./view.js").View} view
 */
export function setUpComparing(track, view) {
  const chosen = element("compare", HTMLInputElement);
  chosen.addEventListener("change", async () => {
    const file = chosen.files?.[0];
    if (!file) return;
    view.check("file", `Comparing ${file.name} …`);
    let sum = "";
    try { sum = await sha256(await file.arrayBuffer()); } catch { /* told below */ }
    if (!sum) view.check("file", `${file.name} could not be read here. Compare it with the command check.`, true);
    else if (sum === track.data.sha256) view.check("file", `${file.name} is the very file that this page was made for.`);
    else view.check("file", `${file.name} is another file than this page was made for. Do not use it: copy the whole folder again.`, true);
  });
}

/**
 * Say what the browser can do.
 * @param {import("../shared/keep.js").Keep} keep
 * @param {import("./view.js").View} view
 */
export async function lookAtBrowser(keep, view) {
  const kept = await keep.open();
  if (kept.page && kept.disk) view.check("keep", "This browser keeps the place and the log if the page closes or the computer fails: on this computer, not on the stick.");
  else if (kept.page) view.check("keep", "This browser keeps the place if the page closes, but may lose the last seconds if the computer fails. Note the clock time at each question.", true);
  else view.check("keep", "This browser does not keep the place (a private window, its settings, or a full disk). If the page closes you must start again from the beginning. Use an ordinary window, or have the running sheet at hand.", true);
  if (await stayAwake()) view.check("awake", "This page keeps the screen awake while it is in front.");
  else view.check("awake", "This browser cannot keep the screen awake. Set the computer so that it does not sleep, and keep the lid open.", true);
}
