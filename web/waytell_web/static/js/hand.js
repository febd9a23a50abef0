/** Which hand reaches for this display: what is pressed often lies on its side. */

import { recall, remember } from "./preferences.js";

/** @typedef {"left" | "right"} Hand */

/** @returns {Hand} */
export function chosenHand() {
  return recall("hand", "right") === "left" ? "left" : "right";
}

/** @param {Hand} hand */
export function chooseHand(hand) {
  remember("hand", hand);
  applyHand();
}

export function applyHand() {
  document.documentElement.dataset.hand = chosenHand();
}
