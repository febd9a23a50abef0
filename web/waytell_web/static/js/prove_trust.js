/**
 * How far positions can be relied on: the uncertainty of each axis and what it is made of (GUM), and the scales.
 *
 * @typedef {import("./prove_types").AxisBudget} AxisBudget
 * @typedef {import("./prove_types").Inputs} Inputs
 * @typedef {import("./prove_types").ScaleNow} ScaleNow
 * @typedef {import("./prove_types").Seen} Seen
 */

import { html } from "../vendor/htm-preact-3.1.1.module.js";
import { RefusalWords } from "./fields.js";
import { told } from "./prove_findings.js";
import { stops } from "./prove_stops.js";
import { budgetTexts, degreesText, shareText, SLIDES } from "./prove_words.js";

/** @param {Inputs} inputs */
export function trustPanel(inputs) {
  const { seen } = inputs;
  const { budgets, scales } = seen.proving;
  return html`<section class="trust" aria-label="How far positions can be relied on">
    <h2 tabindex="-1">How far positions can be relied on</h2>
    ${budgets.length === 0 && html`<p class="asks">No scale is set up yet. Begin with the link to the board, then find out which scale is on which slide.</p>`}
    <div class="budgets">${budgets.map((budget) => budgetView(seen, budget))}</div>
    <${RefusalWords} refusal=${seen.told.refusal} />
    ${told(inputs)}
    ${scales.length > 0 && html`<h3>The scales now</h3>${scalesTable(scales)}`}
    <div class="stops">${stops(inputs, false)}</div>
  </section>`;
}

/** @param {Seen} seen @param {AxisBudget} budget */
function budgetView({ state }, budget) {
  const { sign, u, phrase, unit } = budgetTexts(state, budget);
  return html`<article class="budget" key=${budget.axis} data-budget=${budget.axis}>
    <h3>${budget.axis}, ${budget.axis === "X" ? "across" : "along"}</h3>
    <p class="u-big">${sign && `${sign}\u00a0`}\u00b1\u00a0${u} <small>${unit} (95 %)</small></p>
    ${phrase !== unit && html`<p class="soft">${phrase.slice(unit.length + 1)}</p>`}
    ${budget.helps_most && html`<p class="do"><b>Would help most:</b> ${budget.helps_most}</p>`}
    <ul class="shares" aria-label="What it is made of">${budget.shares.map((share) => shareRow(share, budget, state.units))}</ul>
    <details><summary>How it is reckoned</summary>${reckoned(budget, state.units)}</details>
  </article>`;
}

/** @param {import("./prove_types").Share} share @param {AxisBudget} budget @param {import("./types").Units} units */
function shareRow({ name, words, percent, standard_um }, { axis }, units) {
  return html`<li key=${name} data-share=${name}>
    <span class="share-words">${words}</span>
    <span class="share-number">${percent.toFixed(percent < 10 ? 1 : 0)} % <small>${shareText(standard_um, axis, units)}</small></span>
    <svg class="share-bar" viewBox="0 0 100 4" preserveAspectRatio="none" aria-hidden="true"><rect class="whole" width="100" height="4" /><rect class="part" width=${Math.max(0.5, percent).toFixed(1)} height="4" /></svg>
  </li>`;
}

/** @param {AxisBudget} budget @param {import("./types").Units} units */
function reckoned({ axis, standard_um, degrees, k, shares }, units) {
  const freedom = shares.filter(({ degrees: own }) => own !== null);
  return html`<dl class="reckoned">
      <div><dt>combined standard uncertainty</dt><dd>${shareText(standard_um, axis, units)}</dd></div>
      <div><dt>effective degrees of freedom</dt><dd>${degreesText(degrees)}</dd></div>
      <div><dt>k, for 95 %</dt><dd>${k.toFixed(2)}</dd></div>
    </dl>
    <p class="soft">Contributions are combined as squares, by the Guide to the expression of uncertainty in measurement (JCGM 100); beside each bar stands its standard uncertainty.
      ${freedom.map(({ name, words, degrees: own }) => html`<span key=${name}> Degrees of freedom of ${words}: ${degreesText(own)}.</span>`)}</p>`;
}

/** Counts run on: prove_live.js writes them. @param {ScaleNow[]} scales */
function scalesTable(scales) {
  return html`<table class="scales" data-scales data-doubtful="true">
    <thead><tr><th scope="col">slide</th><th scope="col">scale</th><th scope="col">counts now</th><th scope="col">one count</th><th scope="col">missed edges</th></tr></thead>
    <tbody>${scales.map(({ slide, channel, resolution_um, direction, scale_factor }) => html`<tr key=${slide} data-scale=${slide}>
      <th scope="row">${SLIDES[slide]}</th><td>${channel}</td><td class="figure" data-counts=${channel}></td>
      <td>${Number((resolution_um * scale_factor).toPrecision(6))} \u00b5m, ${direction > 0 ? "growing" : "falling"}</td><td class="figure" data-missed=${channel}></td>
    </tr>`)}</tbody>
  </table>`;
}
