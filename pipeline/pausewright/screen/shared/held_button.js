// A button that does its work only when it is kept down: for what cannot be taken back.

/** For so long it must be kept down. */
export const HELD_MS = 2000;

/**
 * @param {HTMLButtonElement} one its text says that it must be held; a part of class `held-fill` shows how far
 * @param {() => void} done
 * @param {() => void} released called when it was let go too early
 */
export function heldButton(one, done, released) {
  let timer = 0;
  const up = () => {
    if (!timer) return;
    clearTimeout(timer);
    timer = 0;
    one.classList.remove("down");
    released();
  };
  const down = () => {
    if (timer || one.disabled) return;
    one.classList.add("down");
    timer = setTimeout(() => {
      timer = 0;
      one.classList.remove("down");
      done();
    }, HELD_MS);
  };
  one.addEventListener("pointerdown", event => { if (event.button === 0) down(); });
  for (const name of ["pointerup", "pointerleave", "pointercancel", "blur"]) one.addEventListener(name, up);
  window.addEventListener("blur", up);
  one.addEventListener("contextmenu", event => event.preventDefault());
  one.addEventListener("keydown", event => {
    if (event.key !== " " && event.key !== "Enter") return;
    event.preventDefault();
    if (!event.repeat) down();
  });
  one.addEventListener("keyup", event => {
    if (event.key !== " " && event.key !== "Enter") return;
    event.preventDefault();
    up();
  });
  // a click that nobody held: a screen reader's, which cannot hold
  one.addEventListener("click", event => { if (event.detail === 0 && !timer) released(); });
}
