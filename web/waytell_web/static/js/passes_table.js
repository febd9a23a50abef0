/**
 * The passes so far, newest first: what was really done.
 *
 * @typedef {import("./types").LiveState} LiveState
 * @typedef {import("./types").Pass} Pass
 * @typedef {import("./types").Units} Units
 */

import { html, render } from "../vendor/htm-preact-3.1.1.module.js";
import { getPasses } from "./acts.js";
import { axisSign, changeText, decimalsOf, lengthText, NO_NUMBER, numberText, toShown, unitWord } from "./figures.js";
import { KINDS } from "./kinds.js";
import { axisOf } from "./words.js";

const ASK_AGAIN_MS = 1000;

/** As short as the column. @type {Record<import("./types").PassKind, string>} */
const KIND_WORDS = {
  facing: "faced",
  turning: "turned",
  boring: "bored",
  drilling: "drilled",
  taper: "taper",
  chamfer: "chamfer",
  grooving: "groove",
  parting: "parted",
};

export class PassesTable {
  /** @param {HTMLElement} place */
  constructor(place) {
    this.place = place;
    /** @type {Pass[]} */
    this.passes = [];
    this.known = "";
  }

  /** Asks again only when there is something new to show. @param {LiveState} state */
  async draw(state) {
    const { last_pass, units } = state;
    const key = [state.passes, last_pass?.number, last_pass?.t_end_s, state.work.set_up, units.length, units.x_as].join();
    if (key === this.known) return;
    this.known = key;
    const passes = await getPasses();
    if (passes) this.passes = passes;
    else setTimeout(() => (this.known = ""), ASK_AGAIN_MS);
    render(table(this.passes, state), this.place);
  }
}

/** @param {Pass[]} passes @param {LiveState} state */
function table(passes, state) {
  if (passes.length === 0) return html`<p class="none">No pass taken yet. Passes are found from the motion; nothing to press.</p>`;
  const unit = unitWord(state.units);
  return html`<table>
    <caption>Passes so far, newest first</caption>
    <thead>
      <tr>
        <th class="words" colspan="2">pass</th>
        <th>depth, ${unit}</th>
        <th>from \u2013 to</th>
        <th>creep</th>
        <th>feed /min</th>
        <th>time</th>
      </tr>
    </thead>
    <tbody>
      ${[...passes].reverse().map((pass) => row(pass, state))}
    </tbody>
  </table>`;
}

/** @param {Pass} pass @param {LiveState} state */
function row(pass, state) {
  const { units } = state;
  const held = pass.feed_axis === "X" ? "Z" : "X";
  const heldDigits = decimalsOf(axisOf(state, held), units);
  const feedDigits = Math.min(2, decimalsOf(axisOf(state, pass.feed_axis), units));
  // What plunges goes deeper the way it is fed.
  const deep = KINDS[pass.kind].plunges ? pass.feed_axis : held;
  const depth = pass.depth_mm === null ? NO_NUMBER : lengthText(pass.depth_mm, deep, units, decimalsOf(axisOf(state, deep), units));
  /** @param {number} mm */
  const at = (mm) => lengthText(mm, pass.feed_axis, units, feedDigits);
  return html`<tr key=${pass.number}>
    <td>${pass.number}</td>
    <td class="words">${whatWords(pass)}${pass.doubts.length > 0 ? ", in doubt" : ""}</td>
    <td>${axisSign(deep, units)} ${depth}</td>
    <td>${axisSign(pass.feed_axis, units)} ${at(pass.start_mm)} \u2013 ${at(pass.end_mm)}</td>
    <td>${changeText(pass.creep_mm, "slide", units, heldDigits)}</td>
    <td>${feedText(pass, units)}</td>
    <td>${pass.duration_s === 0 ? NO_NUMBER : timeText(pass.duration_s)}</td>
  </tr>`;
}

/** A plunge that cut is just that. @param {Pass} pass */
function whatWords({ kind, role }) {
  return KINDS[kind].plunges && role === "roughing" ? KIND_WORDS[kind] : `${KIND_WORDS[kind]}, ${role}`;
}

/** The feed is how fast the slide went: never doubled. @param {Pass} pass @param {Units} units */
function feedText(pass, units) {
  // A hole told of by hand took no time that anyone knows.
  if (pass.duration_s === 0) return NO_NUMBER;
  return numberText(toShown(pass.feed_mm_min, "slide", units), units.length === "inch" ? 2 : 0);
}

/** @param {number} seconds */
export function timeText(seconds) {
  const whole = Math.round(seconds);
  return whole < 60 ? `${whole} s` : `${Math.floor(whole / 60)} min ${whole % 60} s`;
}
