/**
 * Set up: which key does what on this display. A foot switch that sends a key is learned by pressing it.
 *
 * @typedef {import("./key_map.js").Deed} Deed
 * @typedef {{ deed: Deed, more: boolean } | null} Learning
 */

import { html, useLayoutEffect, useState } from "../vendor/htm-preact-3.1.1.module.js";
import { DEED_NAMES, DEEDS, keyName, keyWords } from "./key_map.js";
import { keepKeys, keyMap } from "./keys.js";

export function KeysSection() {
  const [learning, setLearning] = useState(/** @type {Learning} */ (null));
  const [said, setSaid] = useState("");
  // Before the next key can come.
  useLayoutEffect(() => (learning ? learnNext(learning, (words) => (setLearning(null), setSaid(words))) : undefined), [learning]);
  const reset = () => {
    keyMap.reset();
    keepKeys();
    setSaid("All keys are as at first.");
  };
  return html`<p>Keys of this display alone. A foot switch that works as a keyboard, a numeric keypad or any other key will do.
      Press <b>Change</b>, then that key.</p>
    <p class="keys-said" role="status">${learning ? `Press the key for \u201c${DEEDS[learning.deed].words}\u201d; Esc leaves it as it is.` : said}</p>
    <table class="keys-table" data-learning-key=${learning ? "" : undefined}>
      <thead><tr><th scope="col">does</th><th scope="col">key</th><th scope="col"><span class="out-of-sight">change it</span></th></tr></thead>
      <tbody>${DEED_NAMES.map((deed) => keyRow(deed, learning, setLearning))}</tbody>
    </table>
    <button type="button" onClick=${reset}>As at first</button>`;
}

/** @param {Deed} deed @param {Learning} learning @param {(next: Learning) => void} learn */
function keyRow(deed, learning, learn) {
  const { words } = DEEDS[deed];
  const keys = keyMap.keysOf(deed);
  const waits = learning?.deed === deed;
  return html`<tr key=${deed} data-key-of=${deed} aria-current=${waits}>
    <th scope="row">${words}</th>
    <td>${keys.length === 0 ? "none" : keys.map((key) => html`<kbd key=${key}>${keyWords(key)}</kbd> `)}</td>
    <td class="keys-change">
      <button type="button" aria-label=${`Change the key for ${words}`} onClick=${() => learn({ deed, more: false })}>${waits ? "Press it" : "Change"}</button>
      <button type="button" aria-label=${`One more key for ${words}`} onClick=${() => learn({ deed, more: true })}>One more</button>
    </td>
  </tr>`;
}

/** Hears the next key, whatever has the focus. @param {{ deed: Deed, more: boolean }} learning @param {(words: string) => void} done */
function learnNext({ deed, more }, done) {
  /** @param {KeyboardEvent} press */
  const hear = (press) => {
    const key = keyName(press);
    if (press.key !== "Escape" && key === null) return;
    press.preventDefault();
    press.stopImmediatePropagation();
    done(key === null || press.key === "Escape" ? "Left as it was." : given(deed, key, more));
  };
  document.addEventListener("keydown", hear, { capture: true });
  return () => document.removeEventListener("keydown", hear, { capture: true });
}

/** @param {Deed} deed @param {string} key @param {boolean} more */
function given(deed, key, more) {
  const before = keyMap.give(deed, key, more);
  keepKeys();
  const words = `${keyWords(key)} is now \u201c${DEEDS[deed].words}\u201d.`;
  if (!before) return words;
  const now = keyMap.words(before);
  return `${words} It was \u201c${DEEDS[before].words}\u201d, which ${now ? `now has ${now}` : "has no key now: give it one"}.`;
}
