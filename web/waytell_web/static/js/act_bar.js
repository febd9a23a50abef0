/**
 * The row of large buttons on the Cut screen, each with its key, and what they do.
 *
 * @typedef {import("./key_map.js").Deed} Deed
 * @typedef {import("./types").Act} Act
 * @typedef {import("./types").LiveState} LiveState
 * @typedef {{ deed: Deed, words: string, possible: boolean, more?: string, main?: boolean }} ActButton
 */

import { html, render } from "../vendor/htm-preact-3.1.1.module.js";
import { keyMap } from "./keys.js";
import { KINDS } from "./kinds.js";
import { placeText, slideWord } from "./words.js";

/** @param {LiveState} state */
export function isClamped(state) {
  return state.hold !== null && state.hold.state !== "free" && state.hold.armed_by !== null;
}

/** @param {LiveState} state @returns {ActButton[]} */
export function actButtons(state) {
  const { operation } = state;
  const planned = operation !== null;
  const inPasses = planned && !KINDS[operation.kind].plunges;
  const held = operation?.held_axis;
  const alarmed = state.alarms.length > 0;
  /** @param {number | undefined} mm */
  const held_length = (mm) => (held && mm !== undefined ? placeText(state, held, mm).replace("\u00a0along", "") : "");
  /** @type {ActButton[]} */
  const buttons = [
    { deed: "touch", words: "Touched off", possible: true },
    { deed: "clamp", words: isClamped(state) ? "Freed" : "Clamped", more: held && slideWord(held), possible: planned },
    { deed: "depth", words: "Depth", more: inPasses ? held_length(operation.depth_mm) : "", possible: inPasses },
    { deed: "size", words: "Size", more: held_length(operation?.target_mm), possible: planned },
    { deed: "operation", words: "Next operation", possible: true },
    { deed: "compound", words: "Wound in", more: "compound", possible: true },
    { deed: "undo", words: "Take back", more: state.undo ?? "nothing", possible: state.undo !== null },
    { deed: "seen", words: "Seen", possible: alarmed, main: alarmed },
  ];
  return hasCompoundScale(state) ? buttons.filter(({ deed }) => deed !== "compound") : buttons;
}

/** With a scale of its own the compound slide is read, and nothing is to be told. @param {LiveState} state */
function hasCompoundScale(state) {
  return state.slides.some((slide) => slide.slide === "compound");
}

/** The act behind a button that needs no entry; null where there is one, or nothing to do. @param {Deed} deed @param {LiveState} state @returns {Act | null} */
export function actOf(deed, state) {
  const axis = state.operation?.held_axis;
  if (deed === "clamp" && axis) return { act: "clamp", axis, held: !isClamped(state) };
  if (deed === "undo" && state.undo) return { act: "undo" };
  if (deed === "seen" && state.alarms.length > 0) return { act: "seen" };
  if (deed === "confirm" && state.doubts.some((doubt) => doubt.code === "board_restarted")) return { act: "confirm_positions" };
  return null;
}

/** A deed without a key has no mark. @param {Deed} deed */
export function keyMark(deed) {
  const words = keyMap.words(deed);
  return words && html`<kbd>${words}</kbd>`;
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
    const key = JSON.stringify([buttons, keyMap.kept()]);
    if (key === this.drawn) return;
    this.drawn = key;
    render(html`${buttons.map((button) => this.button(button))}`, this.place);
  }

  /** @param {ActButton} button */
  button({ deed, words, possible, more = "", main = false }) {
    return html`<button type="button" key=${deed} data-act=${deed} class=${main ? "main" : ""} disabled=${!possible} onClick=${() => this.perform(deed)}>
      <span class="act-words">${words}${more && html`<small>${more}</small>`}</span> ${keyMark(deed)}
    </button>`;
  }
}
