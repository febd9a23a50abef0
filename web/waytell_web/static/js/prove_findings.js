/**
 * One kind of check that is not under way: what it found the last time and before, what follows, and beginning it.
 *
 * @typedef {import("./prove_types").DatedProof} DatedProof
 * @typedef {import("./prove_types").Inputs} Inputs
 * @typedef {import("./prove_types").Kind} Kind
 */

import { html } from "../vendor/htm-preact-3.1.1.module.js";
import { Choice, RefusalWords } from "./fields.js";
import { BeginForm } from "./prove_begin.js";
import { CHECKS, findingsOf, variantsOf } from "./prove_checks.js";
import { finding } from "./prove_finding.js";
import { UseIt } from "./prove_use.js";
import { askedWords, whenWords } from "./prove_words.js";

/** @param {Inputs & { kind: Kind }} inputs */
export function kindPanel({ seen, deeds, kind }) {
  const { proving, variant, state } = seen;
  const { words, asks, each } = CHECKS[kind];
  const variants = variantsOf(kind, proving.scales);
  const [newest, ...earlier] = findingsOf(proving.proofs, kind, variant);
  if (each === "scales" && variants.length === 0) return html`<section class="kind"><h2 tabindex="-1">${words}</h2><p class="asks">${asks}</p>${noScale(deeds)}</section>`;
  // Each variant has a form of its own; typed lengths mean nothing in other units.
  const begin = html`<${BeginForm} key=${`${kind} ${variant} ${state.units.length}`} seen=${seen} deeds=${deeds} kind=${kind} variant=${variant} last=${newest?.proof.check} again=${newest !== undefined} />`;
  return html`<section class="kind" data-kind=${kind} aria-label=${words}>
    <h2 tabindex="-1">${words}</h2>
    <p class="asks">${asks}</p>
    ${variants.length > 0 && html`<${Choice} key=${kind} label=${each === "motor" ? "With the" : "Slide"} value=${variant} options=${variants} onChange=${(/** @type {string} */ next) => deeds.go(kind, next)} />`}
    ${newest ? html`${dated(newest, { seen, deeds })}<details class="again" key=${`${kind} ${variant} ${newest.number}`}><summary>Do it again</summary>${begin}</details>` : begin}
    ${earlier.length > 0 && html`<details class="earlier" key=${`${kind} ${variant} earlier`}><summary>Found before: ${earlier.length}</summary>${earlier.map((one) => older(one, seen))}</details>`}
  </section>`;
}

/** @param {import("./prove_types").Deeds} deeds */
function noScale(deeds) {
  return html`<p>No scale is set up yet. Find out first which scale is on which slide.</p>
    <button type="button" class="main" onClick=${() => deeds.go("slide", "cross")}>${CHECKS.slide.words}</button>`;
}

/** @param {DatedProof} one @param {Inputs} inputs */
function dated(one, inputs) {
  const { seen, deeds } = inputs;
  const { proof, wall, compared } = one;
  const beside = html`<${UseIt} key=${one.number} one=${one} deeds=${deeds} />
    <${RefusalWords} refusal=${seen.told.refusal} />
    ${told(inputs)}
    ${compared.length > 0 && html`<div class="compared"><h3>Since the last time</h3><ul>${compared.map((words) => html`<li key=${words}>${words}</li>`)}</ul></div>`}`;
  return html`<article class="dated" data-proof=${one.number}>
    <p class="when">Found ${[whenWords(wall, new Date()), askedWords(proof.check, seen.state.units)].filter(Boolean).join("; ")}</p>
    ${finding(proof, seen.state.units, seen.look, beside)}
  </article>`;
}

/** What the newest act did, and the way back. @param {Inputs} inputs */
export function told({ seen, deeds }) {
  const { words } = seen.told;
  if (!words) return "";
  return html`<div class="told"><p role="status" class="sent">${words}</p>
    ${seen.state.undo && html`<button type="button" data-deed="take-back" onClick=${deeds.takeBack}>Take back: ${seen.state.undo}</button>`}</div>`;
}

/** @param {DatedProof} one @param {import("./prove_types").Seen} seen */
function older({ number, wall, proof }, { state, look }) {
  return html`<details class="older" key=${number}><summary>${whenWords(wall, new Date())}: ${proof.verdict}. ${proof.words}</summary>${finding(proof, state.units, look)}</details>`;
}
