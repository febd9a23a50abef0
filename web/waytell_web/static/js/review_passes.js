/**
 * The passes as a table to choose from, newest first.
 *
 * @typedef {import("./types").Pass} Pass
 * @typedef {import("./review_types").Choose} Choose
 * @typedef {import("./review_types").Seen} Seen
 */

import { html } from "../vendor/htm-preact-3.1.1.module.js";
import { unitWord } from "./figures.js";
import { spark, sparkScale } from "./review_spark.js";
import { chosenPass, creepText, depthText, filtered, values } from "./review_words.js";

/** @param {Seen} seen @param {Choose} choose */
export function passesList(seen, choose) {
  const { passes, choice } = seen;
  if (passes.length === 0) {
    return html`<p class="none">No pass taken yet. Passes are found from the motion; nothing to press.</p>`;
  }
  const shown = filtered(passes, choice);
  const most_um = sparkScale(shown.map((pass) => seen.traces.get(pass.number) ?? []));
  const chosen = chosenPass(passes, choice);
  return html`${filters(seen, choose)}
    <table class="list">
      <caption class="out-of-sight">Passes, newest first</caption>
      <thead>
        <tr><th class="words">pass</th><th>depth, ${unitWord(seen.state.units)}</th><th>creep</th><th class="trace">held slide</th></tr>
      </thead>
      <tbody>
        ${shown.map((pass) => row(seen, pass, pass === chosen, most_um, choose))}
      </tbody>
    </table>
    ${shown.length === 0 ? html`<p class="none">No pass fits this choice.</p>` : ""}`;
}

/** @param {Seen} seen @param {Pass} pass @param {boolean} chosen @param {number} most_um @param {Choose} choose */
function row(seen, pass, chosen, most_um, choose) {
  const doubtful = pass.doubts.length > 0;
  const open = () => choose({ chosen: pass.number });
  return html`<tr key=${pass.number} data-pass=${pass.number} data-doubtful=${doubtful} aria-current=${chosen ? "true" : null} onClick=${open}>
    <td class="words">
      <button type="button" class="row" aria-pressed=${chosen}>
        <b>${pass.number}</b>
        <span>${pass.role}, ${pass.kind}<small>${doubtful ? html`<strong class="doubtful">in doubt</strong>` : pass.operation}</small></span>
      </button>
    </td>
    <td class="figure">${depthText(seen.state, pass)}</td>
    <td class="figure">${creepText(seen.state, pass)}</td>
    <td class="trace">${spark(seen.traces.get(pass.number) ?? [], most_um)}</td>
  </tr>`;
}

/** @param {Seen} seen @param {Choose} choose */
function filters({ passes, choice }, choose) {
  /** @param {"part" | "set_up" | "operation"} field @param {string} label */
  const one = (field, label) => html`<label>
    <span>${label}</span>
    <select data-filter=${field} value=${choice[field]} onChange=${(/** @type {Event} */ event) => choose({ [field]: /** @type {HTMLSelectElement} */ (event.target).value, chosen: null })}>
      <option value="">all</option>
      ${values(passes, field).map((value) => html`<option value=${value} selected=${value === choice[field]}>${value}</option>`)}
    </select>
  </label>`;
  return html`<div class="filters" role="group" aria-label="Which passes">
    ${one("part", "part")}${one("set_up", "set-up")}${one("operation", "operation")}
  </div>`;
}
