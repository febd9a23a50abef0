/** What this display remembers by itself: look and sound. Nothing about the work. */

const PREFIX = "waytell.";

/** @param {string} name @param {string} otherwise */
export function recall(name, otherwise) {
  try {
    return localStorage.getItem(PREFIX + name) ?? otherwise;
  } catch {
    return otherwise; // private windows may refuse storage: the page works without
  }
}

/** @param {string} name @param {string} value */
export function remember(name, value) {
  try {
    localStorage.setItem(PREFIX + name, value);
  } catch {
    // As above: it is forgotten when the page closes.
  }
}
