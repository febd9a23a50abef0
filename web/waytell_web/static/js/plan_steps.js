/**
 * What stands below the drawing: contradictions with their way out, or cautions and the operations in their order.
 *
 * @typedef {import("./plan_types").Caution} Caution
 * @typedef {import("./plan_types").Planned} Planned
 * @typedef {import("./plan_types").Plan} Plan
 * @typedef {import("./plan_types").PlannedStep} PlannedStep
 * @typedef {import("./plan_questions.js").Inputs} Inputs
 */

import { html } from "../vendor/htm-preact-3.1.1.module.js";
import { timeWords } from "./figures.js";
import { stepDetail } from "./plan_step.js";
import { feedText, isCommon, passesWords, SPEED_LIMITS, STATES } from "./plan_words.js";

/**
 * What is shown: the plan, of which part, and how its features are numbered in the form.
 * @typedef {{ planned: Planned | null, numbers: number[], kept: boolean, old: boolean }} Shown
 */

/** @param {Inputs} inputs @param {Shown} shown */
export function operationsView(inputs, { planned, numbers, kept, old }) {
  if (!planned) return html`<p class="none">Operations stand here as soon as material, bar and the length out of the chuck are told.</p>`;
  if (!planned.plan) return contradictions(inputs, planned, numbers);
  const { plan } = planned;
  return html`<div data-old=${old}>
    ${cautionList(inputs, plan.cautions.filter((one) => !isCommon(one)))}
    ${operations(inputs, plan, kept)}
    ${common(plan.cautions.filter(isCommon))}
  </div>`;
}

/** @param {Inputs} inputs @param {Planned} planned @param {number[]} numbers */
function contradictions({ seen, deeds }, { contradictions: found }, numbers) {
  return html`<section class="contradictions" role="alert" aria-label="What cannot be">
    <h2>This cannot be turned as it is told</h2>
    <ul>${found.map(({ features, words, do: way }) => html`<li>
      <p><strong>${words}</strong></p><p>${way}</p>
      <p class="form-buttons">${features.map((n) => {
        const number = numbers[n - 1] ?? n;
        const feature = seen.history.now.features[number - 1];
        return feature && html`<button type="button" onClick=${() => deeds.see({ open: `feature ${feature.key}` })}>Open feature ${number}</button>`;
      })}</p>
    </li>`)}</ul>
  </section>`;
}

/** @param {Inputs} inputs @param {Caution[]} cautions */
function cautionList({ deeds }, cautions) {
  if (cautions.length === 0) return "";
  return html`<section class="plan-cautions" aria-label="Mind this">
    <h2>Mind this</h2>
    <ul>${cautions.map(({ words, do: way, step, code }) => html`<li data-caution=${code}>
      <p><strong>${words}</strong> ${way}</p>
      ${code === "no_tool" ? html`<a class="quiet" href="#tables">Enter a tool</a>` : step !== null && html`<button type="button" class="quiet" onClick=${() => deeds.choose(step)}>Operation ${step}</button>`}
    </li>`)}</ul>
  </section>`;
}

/** @param {Caution[]} cautions */
function common(cautions) {
  if (cautions.length === 0) return "";
  return html`<section class="common" aria-label="Before the spindle starts">
    <h2>Before the spindle starts</h2>
    <ul>${cautions.map(({ words, do: way }) => html`<li><strong>${words}</strong> ${way}</li>`)}</ul>
  </section>`;
}

/** @param {Inputs} inputs @param {Plan} plan @param {boolean} kept */
function operations(inputs, plan, kept) {
  const left = plan.steps.filter(({ state }) => state !== "done").length;
  const mass = plan.mass_g < 10 ? plan.mass_g.toFixed(1) : plan.mass_g.toFixed(0);
  return html`<section class="operations" aria-label="Operations">
    <h2>Operations <small>${left} to do, ${timeWords(plan.time_s)} in the cut, without winding back and setting. The part weighs ${mass} g.</small></h2>
    ${plan.set_ups.map(({ number }) => html`${chucked(inputs, number, plan, kept)}
      <div class="steps" role="list">${plan.steps.filter((step) => step.set_up === number).map((step) => row(inputs, step, plan, kept))}</div>`)}
  </section>`;
}

/** What is in the chuck, and the button that says so. @param {Inputs} inputs @param {number} number @param {Plan} plan @param {boolean} kept */
function chucked({ seen, deeds }, number, plan, kept) {
  const words = number === 1 ? "The bar is in the chuck" : "The part is turned round and in the chuck";
  const here = kept && seen.kept.set_up === number;
  if (plan.set_ups.length === 1 && here) return "";
  return html`<p class="chucked">
    ${plan.set_ups.length > 1 && html`<b>${number === 1 ? "First set-up" : "Turned round"}</b>`}
    ${here ? html`<span>\u2713 in the chuck</span>` : html`<button type="button" data-chuck=${number} onClick=${() => deeds.inChuck(number === 2 ? 2 : 1)}>${words}</button>`}
  </p>`;
}

/** @param {Inputs} inputs @param {PlannedStep} step @param {Plan} plan @param {boolean} kept */
function row(inputs, step, plan, kept) {
  const { seen, deeds } = inputs;
  const open = seen.step === step.number;
  const state = STATES[step.state];
  const atLathe = seen.state.operation?.name === step.operation.name;
  return html`<div key=${step.number} role="listitem" class="step" data-step=${step.number} data-state=${step.state}>
    <button type="button" class="step-row" aria-expanded=${open} onClick=${() => deeds.choose(open ? null : step.number)}>
      <span class="number">${step.number}</span>
      <span class="what"><b>${step.words}</b><small>${step.tool || "no tool of yours can do it"}</small>
        ${(state.words || atLathe) && html`<small class="state">${state.sign} ${[state.words, atLathe ? "chosen at the lathe" : ""].filter(Boolean).join(", ")}</small>`}
        ${step.was && html`<small class="was">${step.was}</small>`}
      </span>
      <span class="figure-cell"><b>${step.speed.rpm.toFixed(0)}</b><small>turns/min ${SPEED_LIMITS[step.speed.limit]}</small></span>
      <span class="figure-cell"><b>${feedText(seen.state.units, step.feed_mm_rev)}</b><small>a turn</small></span>
      <span class="passes-cell">${passesWords(step, seen.state.units)}</span>
      <span class="figure-cell time-cell">${timeWords(step.time_s)}</span>
    </button>
    ${step.trouble && html`<p class="trouble">\u2715 ${step.trouble}</p>`}
    ${open && stepDetail(inputs, step, plan, kept)}
  </div>`;
}
