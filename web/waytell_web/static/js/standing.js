/** How far from this display one stands, and how long a pixel of it is: letters go by both. */

import { sizePx, USUAL_MM_PX } from "./distance.js";
import { recall, remember } from "./preferences.js";

/** @typedef {"1" | "2" | "3"} Metres */

/** @returns {Metres} */
export function chosenMetres() {
  const kept = recall("metres", "1");
  return kept === "2" || kept === "3" ? kept : "1";
}

/** What a steel rule held to the screen says of a pixel; that of an ordinary screen until it was held there. */
export function mmOfPixel() {
  const kept = Number(recall("mm of a pixel", ""));
  return kept > 0.03 && kept < 1.5 ? kept : USUAL_MM_PX;
}

/** @param {Metres} metres */
export function chooseMetres(metres) {
  remember("metres", metres);
  applyStanding();
}

/** @param {number} mm */
export function setMmOfPixel(mm) {
  remember("mm of a pixel", String(mm));
  applyStanding();
}

export function applyStanding() {
  const root = document.documentElement;
  root.dataset.metres = chosenMetres();
  root.style.setProperty("--read", `${sizePx(Number(chosenMetres()), mmOfPixel()).toFixed(1)}px`);
}
