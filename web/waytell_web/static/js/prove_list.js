/**
 * The left side of the Prove page: how far positions can be relied on, the ten checks, stops, and the sheet to print.
 *
 * @typedef {import("./prove_types").Inputs} Inputs
 * @typedef {import("./prove_types").Kind} Kind
 */

import { html } from "../vendor/htm-preact-3.1.1.module.js";
import { Choice } from "./fields.js";
import { answerWords, CHECKS, firstVariant, KINDS, rowOf, titleOf } from "./prove_checks.js";
import { verdictMark } from "./prove_marks.js";
import { stops } from "./prove_stops.js";
import { budgetTexts, whenWords } from "./prove_words.js";

/** @param {Inputs} inputs */
export function checksList(inputs) {
  const { seen, deeds } = inputs;
  const { proving, place } = seen;
  return html`<div class="list-side" id="checks">
    ${underWay(inputs)}
    <h2>Can these readings be trusted? <small>${answerWords(proving)}</small></h2>
    <button type="button" class="trust-row" data-place="trust" aria-current=${place === "trust"} onClick=${() => deeds.go("trust")}>
      <span>How far a position may be off (95 %)</span>${proving.budgets.length > 0 ? proving.budgets.map((budget) => trustFigure(seen, budget)) : html`<b>not known yet</b>`}
    </button>
    ${stops(inputs, true)}
    <ol class="checks" aria-label="Checks, in a workable order">
      ${KINDS.map((kind, n) => html`<li key=${kind}>${checkRow(inputs, kind, n + 1)}</li>`)}
    </ol>
    <div class="list-foot">
      <a class="button" href="api/export/proving.html" target="_blank">Proving sheet, to print</a>
      <${Choice} label="On this display I press with the" value=${seen.hand} options=${[["right", "right hand"], ["left", "left hand"]]} onChange=${deeds.chooseHand} />
    </div>
  </div>`;
}

/** Another display may have begun it, or one looks at something else meanwhile. @param {Inputs} inputs */
function underWay({ seen, deeds }) {
  const { check } = seen.proving;
  if (!check || seen.place === check.check.kind) return "";
  return html`<button type="button" class="main under-way" data-deed="go-back" onClick=${() => deeds.go(check.check.kind)}>\u25b6 Under way <small>${titleOf(check.check)}</small></button>`;
}

/** @param {import("./prove_types").Seen} seen @param {import("./prove_types").AxisBudget} budget */
function trustFigure({ state }, budget) {
  const { sign, u, unit } = budgetTexts(state, budget);
  return html`<b class="nowrap" key=${budget.axis}>${budget.axis} ${sign && `${sign}\u00a0`}\u00b1\u00a0${u} <small>${unit}</small></b>`;
}

/** @param {Inputs} inputs @param {Kind} kind @param {number} number */
function checkRow({ seen, deeds }, kind, number) {
  const { proving, place } = seen;
  const { verdict, wall, done, of } = rowOf(kind, proving);
  const now = proving.check?.check.kind === kind;
  const more = verdict !== null && done < of ? html`<small>${done} of ${of}</small>` : "";
  return html`<button type="button" class="check-row" data-check=${kind} data-verdict=${verdict ?? "none"} aria-current=${place === kind} onClick=${() => deeds.go(kind, firstVariant(kind, proving))}>
    <i class="order">${number}</i>
    <span class="name">${CHECKS[kind].words}</span>
    <small class="when">${now ? "" : wall && whenWords(wall, new Date()).replace("today ", "")}</small>
    ${now ? html`<span class="verdict now">\u25b6 under way</span>` : html`<span class="verdict">${verdictMark(verdict)}${more}</span>`}
  </button>`;
}
