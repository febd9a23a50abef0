/**
 * Acts and their keys. One table: what a key does, what stands on its button. Chosen for a numeric keypad; a foot
 * switch is a key as well.
 */

/**
 * @typedef {"touch" | "clamp" | "depth" | "size" | "operation" | "compound" | "tool" | "part" | "undo" | "seen" | "confirm" | "yes" | "no" | "sound" | "screen"} Deed
 */

/** @type {Record<Deed, string>} */
export const KEY_OF = {
  touch: "1",
  clamp: "2",
  depth: "3",
  size: "4",
  operation: "5",
  compound: "6",
  tool: "7",
  part: "8",
  screen: "9",
  undo: "0",
  seen: "+",
  confirm: ".",
  yes: "/",
  no: "-",
  sound: "*",
};

const DEED_OF = new Map(Object.entries(KEY_OF).map(([deed, key]) => [key, /** @type {Deed} */ (deed)]));
// Some keypads send a comma where others send a point.
DEED_OF.set(",", "confirm");

/** @param {{ key: string, ctrlKey: boolean, altKey: boolean, metaKey: boolean, repeat: boolean }} press @returns {Deed | null} */
export function deedOf(press) {
  if (press.ctrlKey || press.altKey || press.metaKey || press.repeat) return null;
  return DEED_OF.get(press.key) ?? null;
}

/** Keys belong to the field while one types in it. @param {EventTarget | null} target */
function isField(target) {
  return target instanceof HTMLElement && target.closest("input, select, textarea, [role=dialog]") !== null;
}

/** @param {(deed: Deed) => void} perform */
export function listenToKeys(perform) {
  document.addEventListener("keydown", (press) => {
    const deed = isField(press.target) ? null : deedOf(press);
    if (!deed) return;
    press.preventDefault();
    perform(deed);
  });
}
