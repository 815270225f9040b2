// The parts of a page by their id, each of the kind that the code expects.

/**
 * Return an element of one kind, for example `element("reason", HTMLSelectElement)`.
 * @template {HTMLElement} T
 * @param {string} id
 * @param {new () => T} kind
 * @returns {T}
 */
export function element(id, kind) {
  const found = document.getElementById(id);
  if (!(found instanceof kind)) throw new Error(`the page has no ${kind.name} ‘${id}’`);
  return found;
}

/**
 * Return any element.
 * @param {string} id
 */
export function at(id) {
  return element(id, HTMLElement);
}

/**
 * Return a button.
 * @param {string} id
 */
export function button(id) {
  return element(id, HTMLButtonElement);
}

/**
 * Put words into an element. The same words are not put again: a screen reader would repeat them.
 * @param {HTMLElement} where
 * @param {string} text
 */
export function put(where, text) {
  if (where.textContent !== text) where.textContent = text;
}

/** Return what the writer of the page left for its code. */
export function pageData() {
  return JSON.parse(element("data", HTMLScriptElement).text);
}
