/** Keys of a check under way: Enter captures or finishes, / finishes, figures go into the field. */

/** @typedef {"capture" | "finish" | "type" | null} KeyDeed */

/**
 * @param {{ key: string, ctrlKey: boolean, altKey: boolean, metaKey: boolean, repeat: boolean }} press
 * @param {{ inField: boolean, onControl: boolean }} where  whether one types there, or Enter presses something there
 * @returns {KeyDeed}
 */
export function keyDeed(press, { inField, onControl }) {
  if (press.ctrlKey || press.altKey || press.metaKey || press.repeat) return null;
  if (press.key === "/") return "finish";
  if (inField) return null;
  if (press.key === "Enter") return onControl ? null : "capture";
  return /^[0-9.,-]$/.test(press.key) ? "type" : null;
}

/** @param {KeyboardEvent} press */
function pressed(press) {
  const target = press.target instanceof HTMLElement ? press.target : null;
  const deed = keyDeed(press, {
    inField: target?.closest("input, select, textarea") != null,
    onControl: target?.closest("button, a, summary, [role=group]") != null,
  });
  if (!deed || !document.querySelector("[data-under-way]")) return;
  const field = document.querySelector("[data-says]");
  if (deed === "type") {
    // The figure itself goes where the keyboard now is.
    if (field instanceof HTMLInputElement) (field.focus(), field.select());
    return;
  }
  const form = document.querySelector("[data-capture]");
  press.preventDefault();
  if (deed === "capture" && form instanceof HTMLFormElement) form.requestSubmit();
  else clickFinish();
}

/** Where it cannot be finished yet, nothing happens: the reason stands beside the button. */
function clickFinish() {
  const button = document.querySelector("[data-under-way] [data-deed=finish]");
  if (button instanceof HTMLElement) button.click();
}

export function listenToProveKeys() {
  document.addEventListener("keydown", pressed);
}
