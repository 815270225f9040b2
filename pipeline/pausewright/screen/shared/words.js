// Times, places and counts in words.

/** @param {number} n */
const two = n => String(n).padStart(2, "0");

/**
 * Return the computer's clock at a moment.
 * @param {number} ms since 1970, as from Date.now()
 */
export function clockTime(ms, withSeconds = true) {
  const at = new Date(ms);
  return `${two(at.getHours())}:${two(at.getMinutes())}${withSeconds ? `:${two(at.getSeconds())}` : ""}`;
}

/**
 * Return the day of a moment, as 2031-05-09.
 * @param {number} ms since 1970
 */
export function dayOf(ms) {
  const at = new Date(ms);
  return `${at.getFullYear()}-${two(at.getMonth() + 1)}-${two(at.getDate())}`;
}

/**
 * Return a place in a recording, as 0:14:05.
 * @param {number} s
 */
export function placeTime(s) {
  const whole = Math.floor(s);
  return `${Math.floor(whole / 3600)}:${two(Math.floor(whole / 60) % 60)}:${two(whole % 60)}`;
}

/**
 * Return a number with its word: "1 step", "2 steps".
 * @param {number} n
 * @param {string} word
 */
export function counted(n, word) {
  return `${n} ${word}${n === 1 ? "" : "s"}`;
}

/**
 * Return a length of time in words, in whole seconds.
 * @param {number} s
 */
export function lengthInWords(s) {
  const whole = Math.max(0, Math.round(s));
  const parts = [];
  if (whole >= 3600) parts.push(counted(Math.floor(whole / 3600), "hour"));
  if (Math.floor(whole / 60) % 60) parts.push(counted(Math.floor(whole / 60) % 60, "minute"));
  if (whole % 60 || !parts.length) parts.push(counted(whole % 60, "second"));
  return parts.join(" ");
}
