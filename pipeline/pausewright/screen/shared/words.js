// Times, places and counts in words. One rule for lengths, as on the papers: whole seconds that have gone by.

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
 * Return a place or length as a player's counter and the running sheet show it: 14:05, 62:05.
 * @param {number} s
 */
export function placeTime(s) {
  const whole = wholeSeconds(s);
  return `${Math.floor(whole / 60)}:${two(whole % 60)}`;
}

/**
 * Return the whole seconds that have gone by.
 * @param {number} s
 */
export function wholeSeconds(s) {
  return Math.max(0, Math.floor(s + 1e-6));
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
 * Return a length of time in words, in whole seconds that have gone by.
 * @param {number} s
 */
export function lengthInWords(s) {
  const whole = wholeSeconds(s);
  const parts = [];
  if (whole >= 3600) parts.push(counted(Math.floor(whole / 3600), "hour"));
  if (Math.floor(whole / 60) % 60) parts.push(counted(Math.floor(whole / 60) % 60, "minute"));
  if (whole % 60 || !parts.length) parts.push(counted(whole % 60, "second"));
  return parts.join(" ");
}

/**
 * Return a length of time in the signs that all languages share: "1 min 5 s".
 * @param {number} s
 */
export function lengthInSigns(s) {
  const whole = wholeSeconds(s);
  const minutes = Math.floor(whole / 60);
  return [minutes ? `${minutes} min` : "", whole % 60 || !minutes ? `${whole % 60} s` : ""].filter(Boolean).join(" ");
}

/**
 * Return tenths of a second as a number of seconds: "4.5", "15".
 * @param {number} tenths
 */
export function tenthsInSeconds(tenths) {
  return tenths % 10 ? `${Math.floor(tenths / 10)}.${tenths % 10}` : String(tenths / 10);
}

/**
 * Return a length for a log, to the tenth of a second: "12.3 s", "2 min 5.4 s".
 * @param {number} ms
 */
export function exactLength(ms) {
  const tenths = Math.round(Math.abs(ms) / 100);
  const minutes = Math.floor(tenths / 600);
  const sign = ms < 0 && tenths ? "−" : "";
  return `${sign}${minutes ? `${minutes} min ` : ""}${tenthsInSeconds(tenths % 600)} s`;
}
