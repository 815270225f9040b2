// Text size and contrast, kept for this computer.

import {button, element} from "./elements.js";

const SIZES = [87.5, 100, 112.5, 125, 150, 175, 200];
const KEY = "pausewright/look";

/** Let the buttons and the list of a page's own section change how it looks. */
export function setUpLook() {
  const smaller = button("smaller");
  const larger = button("larger");
  const contrast = element("contrast", HTMLSelectElement);
  let look = {size: 100, contrast: ""};
  try { look = {...look, ...JSON.parse(localStorage.getItem(KEY) ?? "{}")}; } catch { /* as it comes */ }

  function show() {
    const at = Math.max(0, SIZES.indexOf(look.size));
    document.documentElement.style.setProperty("--size", String(SIZES[at] / 100));
    if (look.contrast) document.documentElement.dataset.look = look.contrast;
    else delete document.documentElement.dataset.look;
    smaller.disabled = at === 0;
    larger.disabled = at === SIZES.length - 1;
    contrast.value = look.contrast;
    try { localStorage.setItem(KEY, JSON.stringify(look)); } catch { /* for now only */ }
  }

  /** @param {number} by */
  function step(by) {
    const at = Math.max(0, SIZES.indexOf(look.size)) + by;
    look.size = SIZES[Math.min(SIZES.length - 1, Math.max(0, at))];
    show();
  }

  smaller.addEventListener("click", () => step(-1));
  larger.addEventListener("click", () => step(1));
  contrast.addEventListener("change", () => { look.contrast = contrast.value; show(); });
  show();
}
