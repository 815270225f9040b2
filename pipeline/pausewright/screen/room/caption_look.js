// Size and place of the captions: chosen on each screen by whoever reads them, and kept for that screen.

import {at, button} from "../shared/elements.js";

const SIZES = [0.75, 1, 1.25, 1.5, 2];
const KEY = "pausewright/captions";

/**
 * Let the buttons and keys of the captions' own corner change how they look.
 * @param {Record<string, string>} words that candidates read
 */
export function setUpCaptionLook(words) {
  if (!document.getElementById("caption")) return;
  let look = {size: 1, isTop: false};
  try { look = {...look, ...JSON.parse(sessionStorage.getItem(KEY) ?? "{}")}; } catch { /* as it comes */ }

  function show() {
    const size = Math.max(0, SIZES.indexOf(look.size));
    at("candidates").style.setProperty("--caption", String(SIZES[size]));
    at("candidates").classList.toggle("caption-top", look.isTop);
    button("caption-smaller").disabled = size === 0;
    button("caption-larger").disabled = size === SIZES.length - 1;
    button("caption-place").textContent = words[look.isTop ? "at-the-bottom" : "at-the-top"];
    try { sessionStorage.setItem(KEY, JSON.stringify(look)); } catch { /* for now only */ }
  }

  /** @param {number} by */
  function step(by) {
    const size = Math.max(0, SIZES.indexOf(look.size)) + by;
    look.size = SIZES[Math.min(SIZES.length - 1, Math.max(0, size))];
    show();
  }

  function move() {
    look.isTop = !look.isTop;
    show();
  }

  button("caption-smaller").addEventListener("click", () => step(-1));
  button("caption-larger").addEventListener("click", () => step(1));
  button("caption-place").addEventListener("click", move);
  document.addEventListener("keydown", event => {
    if (at("candidates").hidden || event.ctrlKey || event.altKey || event.metaKey) return;
    if (event.key === "+") step(1);
    if (event.key === "-") step(-1);
  });
  show();
}
