/**
 * Error maps in use and the stops they are counted from.
 *
 * @typedef {import("./prove_types").Inputs} Inputs
 * @typedef {import("./prove_types").ScaleNow} ScaleNow
 */

import { html } from "../vendor/htm-preact-3.1.1.module.js";
import { SLIDES } from "./prove_words.js";

/** @param {Inputs} inputs @param {boolean} onlyWaiting only those whose map cannot be used before the stop is told */
export function stops({ seen, deeds }, onlyWaiting) {
  const mapped = seen.proving.scales.filter(({ mapped, placed }) => mapped && !(onlyWaiting && placed));
  return mapped.map((scale) => html`<div class="stop" key=${`${scale.slide} stop`} data-stop=${scale.slide} data-placed=${String(scale.placed)}>
    <p>${stopWords(scale)}</p>
    <button type="button" class=${scale.placed ? "" : "main"} onClick=${() => deeds.atStop(scale.slide)}>The ${SLIDES[scale.slide]} stands at its stop</button>
  </div>`);
}

/** @param {ScaleNow} scale */
export function stopWords({ slide, placed, marks }) {
  const name = SLIDES[slide];
  if (placed) return `\u2713 The error map of the ${name} is in use.`;
  const mark = marks === 1 ? ", or over its reference mark" : "";
  return `The error map of the ${name} waits: wind it to its stop${mark}.`;
}
