/**
 * One operation in full: why it comes here, what decided its numbers, its passes, and what other depths would do.
 *
 * @typedef {import("./plan_types").Limits} Limits
 * @typedef {import("./plan_types").Plan} Plan
 * @typedef {import("./plan_types").PlannedStep} PlannedStep
 * @typedef {import("./plan_types").Shows} Shows
 * @typedef {import("./plan_questions.js").Inputs} Inputs
 * @typedef {import("./types").Units} Units
 */

import { html } from "../vendor/htm-preact-3.1.1.module.js";
import { Choice } from "./fields.js";
import { numberText, smallText, timeWords, unitWord } from "./figures.js";
import { SHOWN, whatIfChart } from "./plan_chart.js";
import { cuttingSpeedText, DEPTH_LIMITS, drawnText, placeText } from "./plan_words.js";

const UM_PER_MM = 1000;
const MM3_PER_CM3 = 1000;

/** @param {Inputs} inputs @param {PlannedStep} step @param {Plan} plan @param {boolean} kept */
export function stepDetail(inputs, step, plan, kept) {
  const { units } = inputs.seen.state;
  const advice = plan.cautions.filter((one) => one.step === step.number);
  return html`<div class="step-detail" data-detail=${step.number}>
    <p>${step.why}</p>
    ${advice.map(({ words, do: way }) => html`<p class="mind"><strong>${words}</strong> ${way}</p>`)}
    <p><strong>Speed.</strong> ${step.speed.rpm.toFixed(0)} turns a minute: ${step.speed.words}. ${cuttingSpeedText(units, step.speed.vc_m_min)} at the largest diameter.</p>
    ${step.decided_by && html`<p><strong>Depth.</strong> ${step.decided_by}.</p>`}
    ${step.limits && html`<p data-limits><strong>Size.</strong> ${limitsWords(step.limits, units)}</p>`}
    ${step.passes.length > 0 && passTable(step, units)}
    <p class="soft">${outcome(step, units)}</p>
    <div class="form-buttons">${useButton(inputs, step, kept)}</div>
    ${chart(inputs, step)}
  </div>`;
}

/** @param {Limits} limits @param {Units} units */
function limitsWords({ nominal_mm, low_mm, high_mm, words }, units) {
  const text = (/** @type {number} */ mm) => drawnText(units, mm, 1);
  return `${text(low_mm)} to ${text(high_mm)} ${unitWord(units)} for ${drawnText(units, nominal_mm)}: ${words}`;
}

/** @param {PlannedStep} step @param {Units} units */
function passTable({ passes, operation }, units) {
  const { held_axis } = operation;
  const unit = unitWord(units);
  return html`<div class="table-room"><table class="pass-table">
    <thead><tr><th class="words">Pass</th><th>depth, ${unit}</th><th>${held_axis === "X" ? "at" : "along, at"}</th><th>force</th><th>power</th><th>bending</th><th>time</th><th class="words">depth by</th></tr></thead>
    <tbody>${passes.map((pass, n) => html`<tr>
      <td class="words">${n + 1} ${pass.role}</td>
      <td>${placeText(units, held_axis, pass.depth_mm)}</td>
      <td>${placeText(units, held_axis, pass.at_mm, 1)}</td>
      <td>${numberText(pass.force_n, 0)} N</td>
      <td>${numberText(pass.power_w, 0)} W</td>
      <td>${smallText(units, pass.deflection_mm)}</td>
      <td>${timeWords(pass.time_s)}</td>
      <td class="words">${DEPTH_LIMITS[pass.limit]}</td>
    </tr>`)}</tbody>
  </table></div>`;
}

/** @param {PlannedStep} step @param {Units} units */
function outcome({ ra_um, chips_mm3 }, units) {
  const rough = ra_um === null ? "" : `At this feed the edge alone leaves a roughness Ra of ${smallText(units, ra_um / UM_PER_MM)}. `;
  return `${rough}Chips: ${(chips_mm3 / MM3_PER_CM3).toFixed(1)} cm\u00b3. Forces and bending are estimates from tables.`;
}

/** @param {Inputs} inputs @param {PlannedStep} step @param {boolean} kept */
function useButton({ deeds }, step, kept) {
  if (step.state === "cannot") return html`<p>The size cannot be met any more, so it is not handed to the lathe.</p>`;
  const words = kept ? "Use at the lathe" : "Keep the part and use this at the lathe";
  return html`<button type="button" class="main" data-use=${step.number} onClick=${() => deeds.use(step)}>${words}</button>
    ${!step.tool && html`<span class="soft">Without a tool: enter one under Tables.</span>`}`;
}

/** @param {Inputs} inputs @param {PlannedStep} step */
function chart({ seen, deeds }, step) {
  const { whatIf, shows, look, state } = seen;
  if (!whatIf || whatIf.step !== step.number || whatIf.points.length < 2) return "";
  return html`<section class="what-if" aria-label="Other depths of cut">
    <h3>Other depths of cut</h3>
    <${Choice} label="Show" value=${shows} onChange=${(/** @type {string} */ one) => deeds.see({ shows: /** @type {Shows} */ (one) })} options=${SHOWN} />
    ${whatIfChart({ whatIf, step, shows, units: state.units, look })}
  </section>`;
}
