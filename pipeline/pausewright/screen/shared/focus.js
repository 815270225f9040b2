// Whose the space bar is after a click.

/**
 * After a click with a mouse or a finger on any other button, make the space bar the large button's again.
 * Who goes by keys keeps the place: a click by a key counts none.
 * @param {HTMLButtonElement} main
 */
export function giveBackFocus(main) {
  document.addEventListener("click", event => {
    const clicked = event.target instanceof Element ? event.target.closest("button") : null;
    if (event.detail > 0 && clicked && document.activeElement === clicked) main.focus({preventScroll: true});
  });
}
