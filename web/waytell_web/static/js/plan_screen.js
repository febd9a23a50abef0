/**
 * The part on the left; on the right its drawing, and below that what becomes of it.
 *
 * @typedef {import("./plan_types").Plan} Plan
 * @typedef {import("./plan_types").Seen} Seen
 * @typedef {import("./plan_types").SetUpPlan} SetUpPlan
 * @typedef {import("./plan_questions.js").Inputs} Inputs
 * @typedef {import("./plan_section.js").Emphasis} Emphasis
 * @typedef {import("./plan_steps.js").Shown} Shown
 */

import { html } from "../vendor/htm-preact-3.1.1.module.js";
import { Choice } from "./fields.js";
import { says } from "./plan_draft.js";
import { FEATURES, featureWords } from "./plan_features.js";
import { keeping } from "./plan_keeping.js";
import { partForm } from "./plan_questions.js";
import { featureLines, planSection, stepLayer, stepLines } from "./plan_section.js";
import { operationsView } from "./plan_steps.js";

/** Two columns from here on, as the style sheet has it. */
const WIDE_PX = 1000;
const FORM_SHARE = 0.36;

/** The plan that goes with what is typed: of the part in use as it is now, else as it was tried. @param {Seen} seen @returns {Shown} */
export function shownOf({ history, kept, tried, refusal, state }) {
  const { features } = history.now;
  const inUse = says(history.now, kept.part, state.units);
  if (inUse) return { planned: kept.planned, numbers: features.map((_, n) => n + 1), kept: true, old: false };
  const numbers = (tried?.keys ?? []).map((key) => features.findIndex((one) => one.key === key) + 1);
  return { planned: tried?.planned ?? null, numbers, kept: false, old: refusal !== null };
}

/** @param {Inputs} inputs */
export function planScreen(inputs) {
  const shown = shownOf(inputs.seen);
  return html`<main class="plan-screen">
    <div class="part-side" id="part">${partForm(inputs)}${keeping(inputs, shown.kept)}</div>
    <div class="plan-side">
      <section class="drawing-side" aria-label="Drawing">${drawing(inputs, shown)}${jumps(shown)}</section>
      <div class="below" id="below">${operationsView(inputs, shown)}</div>
    </div>
  </main>`;
}

/** On a narrow screen the operations are far below the part. @param {Shown} shown */
function jumps({ planned }) {
  const to = (/** @type {string} */ id) => () => document.getElementById(id)?.scrollIntoView();
  return html`<p class="jumps"><button type="button" onClick=${to("part")}>The part</button>
    <button type="button" onClick=${to("below")}>${planned && !planned.plan ? "\u2715 What cannot be" : "Operations"}</button></p>`;
}

/** @param {Inputs} inputs @param {Shown} shown */
function drawing({ seen, deeds }, { planned, numbers, old: stale }) {
  const plan = planned?.plan ?? (planned && seen.tried?.before) ?? null;
  const old = stale || !planned?.plan;
  const setUp = plan ? (plan.set_ups.find(({ number }) => number === seen.setUp) ?? plan.set_ups[0]) : null;
  if (!plan || !setUp) return html`<p class="none">${planned ? "No drawing while it cannot be turned as it is told." : "The drawing comes with the first answers."}</p>`;
  const step = old ? undefined : plan.steps.find(({ number, set_up }) => number === seen.step && set_up === setUp.number);
  const layer = step && step.state !== "done" ? stepLayer(step) : [];
  const choose = (/** @type {string} */ text) => deeds.see({ setUp: text === "2" ? 2 : 1, step: null });
  return html`<figure class="section" data-old=${old}>
    ${plan.set_ups.length > 1 && html`<${Choice} label="Drawing of" value=${String(setUp.number)} onChange=${choose} options=${[["1", "the first set-up"], ["2", "the part turned round"]]} />`}
    <div class="sheet">${planSection({ setUp, ends_mm: endOf(plan, setUp), layer, emphasis: old ? null : emphasisOf(seen, plan, setUp, numbers), units: seen.state.units, box: roomFor() })}</div>
    <figcaption>
      <span class="nowrap"><i class="key metal"></i> the part</span> <span class="nowrap"><i class="key left"></i> still to come off</span>
      ${layer.length > 0 && html`<span class="nowrap"><i class="key taken"></i> operation ${step?.number}</span>`}
      <span class="nowrap"><i class="line chain"></i> as it went in the chuck</span>
      ${old && html`<strong>as it was before</strong>`}
    </figcaption>
  </figure>`;
}

/** Z where the part is parted off in this set-up. @param {Plan} plan @param {SetUpPlan} setUp */
function endOf({ part }, { number }) {
  const off = part.features.find(({ kind, set_up }) => kind === "part_off" && set_up === number);
  return off ? -Number(off.at_mm) : null;
}

/** @returns {import("./section_geometry.js").Box} */
function roomFor() {
  if (innerWidth >= WIDE_PX) return { width: Math.floor(innerWidth * (1 - FORM_SHARE)) - 48, height: Math.min(300, Math.floor(innerHeight * 0.34)) };
  return { width: innerWidth - 24, height: innerWidth < 600 ? 170 : 260 };
}

/** The chosen operation, else the feature that is open. @param {Seen} seen @param {Plan} plan @param {SetUpPlan} setUp @param {number[]} numbers @returns {Emphasis | null} */
function emphasisOf(seen, plan, setUp, numbers) {
  const step = plan.steps.find(({ number }) => number === seen.step);
  const { features } = plan.part;
  if (step) {
    const tool = seen.tables?.config.tools.find(({ name }) => name === step.tool);
    return step.set_up === setUp.number ? { lines: stepLines(step, setUp, features, tool), words: `operation ${step.number}: ${step.operation.name}` } : null;
  }
  const typed = seen.history.now.features.findIndex(({ key }) => seen.open === `feature ${key}`);
  const feature = features[numbers.indexOf(typed + 1)];
  if (typed < 0 || !feature || feature.set_up !== setUp.number) return null;
  const draft = seen.history.now.features[typed];
  return { lines: featureLines(feature, setUp), words: `feature ${typed + 1}: ${FEATURES[draft.kind].words} ${featureWords(draft)}` };
}
