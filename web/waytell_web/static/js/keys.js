/**
 * Keys of this display: heard on the whole page, remembered here, and told to whoever shows them.
 *
 * @typedef {import("./key_map.js").Deed} Deed
 */

import { KeyMap } from "./key_map.js";
import { recall, remember } from "./preferences.js";

export const keyMap = new KeyMap(recall("keys", ""));

/** @type {(() => void)[]} */
const shown = [];

/** Called now and whenever a key has changed. @param {() => void} show */
export function whenKeysChange(show) {
  shown.push(show);
  show();
}

/** After a change of the map. */
export function keepKeys() {
  remember("keys", keyMap.kept());
  for (const show of shown) show();
}

/** Keys belong to the field while one types in it. @param {EventTarget | null} target */
function isField(target) {
  return target instanceof HTMLElement && target.closest("input, select, textarea, [role=dialog], [data-learning-key]") !== null;
}

/** These press what has the focus. @param {KeyboardEvent} press */
function isForControl({ key, target }) {
  return (key === "Enter" || key === " ") && target instanceof HTMLElement && target.closest("button, a, summary, label") !== null;
}

/** @param {(deed: Deed) => void} perform */
export function listenToKeys(perform) {
  document.addEventListener("keydown", (press) => {
    const deed = isField(press.target) || isForControl(press) ? null : keyMap.deedOf(press);
    if (!deed) return;
    press.preventDefault();
    perform(deed);
  });
}
