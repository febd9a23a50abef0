/**
 * The guide on the Cut screen: the one next move, why, and the two keys that answer it.
 *
 * @typedef {import("./key_map.js").Deed} Deed
 * @typedef {import("./types").Act} Act
 * @typedef {import("./types").Guide} Guide
 * @typedef {import("./types").LiveState} LiveState
 */

import { html, render } from "../vendor/htm-preact-3.1.1.module.js";
import { keyMark } from "./act_bar.js";
import { find, setAttribute, setText } from "./dom.js";
import { keyMap } from "./keys.js";

// From so many letters on a move is set smaller, and smaller again, to stay on its lines.
const LONG_MOVES = [56, 76];

/** What an answer tells; null where it tells nothing. @param {"yes" | "no"} deed @param {Guide} guide @returns {Act | null} */
export function answerOf(deed, { state, yes, no }) {
  if (deed === "yes") return yes?.act ?? null;
  return no === null ? null : { act: "answer", to: state, yes: false };
}

/** What is opened to be entered. @param {Guide} guide @returns {import("./entry_sheet.js").SheetName | "set-up" | null} */
export function sheetOf({ yes }) {
  const opens = yes?.opens ?? null;
  return opens === "set_up" || opens === "scales" ? "set-up" : opens;
}

export class GuidePanel {
  /** @param {HTMLElement} place @param {(deed: Deed) => void} perform */
  constructor(place, perform) {
    this.place = place;
    this.perform = perform;
    this.move = find("[data-guide-move]", place);
    this.why = find("[data-guide-why]", place);
    this.keys = find("[data-guide-keys]", place);
    this.drawn = "";
  }

  /** @param {LiveState} state */
  draw({ guide }) {
    setText(this.move, guide.move);
    setAttribute(this.place, "data-long", LONG_MOVES.filter((long) => guide.move.length > long).length);
    setAttribute(this.place, "data-state", guide.state);
    setText(this.why, guide.why);
    const key = JSON.stringify([guide.yes?.words, guide.no, keyMap.kept()]);
    if (key === this.drawn) return;
    this.drawn = key;
    render(html`${guide.yes && this.button("yes", guide.yes.words)}${guide.no !== null && this.button("no", guide.no)}`, this.keys);
  }

  /** @param {"yes" | "no"} deed @param {string} words */
  button(deed, words) {
    return html`<button type="button" key=${deed} class=${deed} data-answer=${deed} onClick=${() => this.perform(deed)}>
      <span>${words}</span> ${keyMark(deed)}
    </button>`;
  }
}
