/**
 * The row of large buttons on the Cut screen, each with its key, and what they do.
 *
 * @typedef {import("./keys.js").Deed} Deed
 * @typedef {import("./types").Act} Act
 * @typedef {import("./types").LiveState} LiveState
 * @typedef {{ deed: Deed, words: string, possible: boolean, main?: boolean }} ActButton
 */

import { html, render } from "../vendor/htm-preact-3.1.1.module.js";
import { KEY_OF } from "./keys.js";
import { slideWord } from "./words.js";

/** @param {LiveState} state */
export function isClamped(state) {
  return state.hold !== null && state.hold.state !== "free" && state.hold.armed_by !== null;
}

/** @param {LiveState} state */
function clampWords(state) {
  const slide = slideWord(state.hold?.axis ?? state.operation?.held_axis ?? "Z");
  return isClamped(state) ? `${slide} freed` : `${slide} clamped`;
}

/** @param {LiveState} state @returns {ActButton[]} */
export function actButtons(state) {
  const planned = state.operation !== null;
  const measured = state.slides.some((slide) => slide.slide === "compound");
  /** @type {ActButton[]} */
  const buttons = [
    { deed: "touch", words: "Touched off", possible: true },
    { deed: "clamp", words: capital(clampWords(state)), possible: planned },
    { deed: "depth", words: "Depth", possible: planned },
    { deed: "size", words: "Size", possible: planned },
    { deed: "operation", words: "Next operation", possible: true },
    { deed: "compound", words: "Wound on the compound", possible: !measured },
    { deed: "undo", words: state.undo ? `Take back: ${state.undo}` : "Nothing to take back", possible: state.undo !== null },
    { deed: "seen", words: "Seen", possible: state.alarms.length > 0, main: state.alarms.length > 0 },
  ];
  return measured ? buttons.filter(({ deed }) => deed !== "compound") : buttons;
}

/** @param {string} words */
const capital = (words) => words[0].toUpperCase() + words.slice(1);

/** The act behind a button that needs no entry; null where there is one, or nothing to do. @param {Deed} deed @param {LiveState} state @returns {Act | null} */
export function actOf(deed, state) {
  const axis = state.operation?.held_axis;
  if (deed === "clamp" && axis) return { act: "clamp", axis, held: !isClamped(state) };
  if (deed === "undo" && state.undo) return { act: "undo" };
  if (deed === "seen" && state.alarms.length > 0) return { act: "seen" };
  if (deed === "confirm" && state.doubts.some((doubt) => doubt.code === "board_restarted")) return { act: "confirm_positions" };
  return null;
}

export class ActBar {
  /** @param {HTMLElement} place @param {(deed: Deed) => void} perform */
  constructor(place, perform) {
    this.place = place;
    this.perform = perform;
    this.drawn = "";
  }

  /** @param {LiveState} state */
  draw(state) {
    const buttons = actButtons(state);
    const key = JSON.stringify(buttons);
    if (key === this.drawn) return;
    this.drawn = key;
    render(html`${buttons.map((button) => this.button(button))}`, this.place);
  }

  /** @param {ActButton} button */
  button({ deed, words, possible, main = false }) {
    return html`<button type="button" key=${deed} data-act=${deed} class=${main ? "main" : ""} disabled=${!possible} onClick=${() => this.perform(deed)}>
      <span>${words}</span> <kbd>${KEY_OF[deed]}</kbd>
    </button>`;
  }
}
