/** Day and night look: as the person chose on this display, else as the system has it. */

import { recall, remember } from "./preferences.js";

/** @typedef {"day" | "night" | "system"} Look */

const dark = matchMedia("(prefers-color-scheme: dark)");

/** @returns {Look} */
export function chosenLook() {
  const look = recall("look", "system");
  return look === "day" || look === "night" ? look : "system";
}

export function applyLook() {
  const look = chosenLook();
  document.documentElement.dataset.look = look === "system" ? (dark.matches ? "night" : "day") : look;
}

/** @param {Look} look */
export function chooseLook(look) {
  remember("look", look);
  applyLook();
}

export function followLook() {
  applyLook();
  dark.addEventListener("change", applyLook);
}
