/**
 * Using a finding: what would become of the figures is told before, and the old may be kept.
 *
 * @typedef {import("./prove_types").DatedProof} DatedProof
 * @typedef {import("./prove_types").Deeds} Deeds
 * @typedef {import("./prove_types").Gives} Gives
 * @typedef {import("./prove_types").Shift} Shift
 */

import { html, useEffect, useRef, useState } from "../vendor/htm-preact-3.1.1.module.js";
import { AskedOnce } from "./prove_asked.js";

/** Whether figures change when it is used; what only tells how far they can be relied on counts at once. @param {Gives} gives */
export function changesFigures({ direction, resolution_um, scale_factor, map, temperature_c }) {
  return [direction, resolution_um, scale_factor, map, temperature_c].some((one) => one !== null);
}

/** What is put in use. @param {Gives} gives */
export function givesWords({ direction, resolution_um, scale_factor, map, temperature_c }) {
  const parts = [
    direction !== null && "which way the scale counts",
    resolution_um !== null && `one count is ${Number(resolution_um.toPrecision(6))} \u00b5m`,
    scale_factor !== null && `lengths times ${Number(scale_factor.toPrecision(7))}`,
    map && `a correction at ${map.at_mm.length} places`,
    temperature_c !== null && `${temperature_c} \u00b0C`,
  ];
  return parts.filter(Boolean).join(", ");
}

/** @param {{ one: DatedProof, deeds: Deeds }} inputs */
export function UseIt({ one, deeds }) {
  const { proof, used, number } = one;
  const [asking, setAsking] = useState(false);
  const place = useRef(/** @type {HTMLElement | null} */ (null));
  useEffect(() => {
    if (asking) place.current?.focus();
  }, [asking]);
  if (!changesFigures(proof.gives)) return "";
  if (used) return inUse(one, deeds);
  if (!asking) {
    return html`<div class="use" data-use="offered"><p>It gives: ${givesWords(proof.gives)}. Figures go by it only once you use it.</p>
      <button type="button" class="main" data-deed="use" onClick=${() => setAsking(true)}>Use it \u2026</button></div>`;
  }
  const sure = () => {
    setAsking(false);
    deeds.use(number, true);
  };
  return html`<div class="use asking-now" data-use="asked" ref=${place} tabindex="-1" role="group" aria-label="Before it is used">
    <p><b>What becomes of the figures:</b></p>
    ${shiftsList(one.shifts)}
    <div class="form-buttons">
      <button type="button" class="main" data-deed="use-sure" onClick=${sure}>Use it now</button>
      <button type="button" data-deed="keep-old" onClick=${() => setAsking(false)}>Keep the old</button>
    </div>
  </div>`;
}

/** @param {Shift[]} shifts */
function shiftsList(shifts) {
  if (shifts.length === 0) return html`<p>None is touched off now, so none moves.</p>`;
  return html`<ul class="shifts">${shifts.map(({ axis, then_mm, words }) => html`<li key=${axis} data-shift=${axis} data-void=${String(then_mm === null)}>${words}</li>`)}</ul>`;
}

/** @param {DatedProof} one @param {Deeds} deeds */
function inUse({ proof, number }, deeds) {
  return html`<div class="use" data-use="used"><p class="in-use">\u2713 In use: ${givesWords(proof.gives)}.</p>
    ${proof.gives.map && html`<${AskedOnce} words="No longer use this map" asks="Figures go back to what the scale shows." yes="Stop using it" no="Keep using it" deed="unuse" onYes=${() => deeds.use(number, false)} />`}</div>`;
}
