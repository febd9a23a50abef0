/**
 * A check under way: the next move, what the scales do, capturing, what was captured, what it would find so far.
 * What is live stands in places without content of their own: prove_live.js writes there.
 *
 * @typedef {import("./prove_types").CheckNow} CheckNow
 * @typedef {import("./prove_types").Inputs} Inputs
 */

import { html } from "../vendor/htm-preact-3.1.1.module.js";
import { RefusalWords } from "./fields.js";
import { AskedOnce } from "./prove_asked.js";
import { capturesTable } from "./prove_captures.js";
import { CaptureForm } from "./prove_capture_form.js";
import { CHECKS, titleOf } from "./prove_checks.js";
import { figuresOf, verdictWords } from "./prove_finding.js";
import { askedWords, whenWords } from "./prove_words.js";

/** @param {Inputs & { now: CheckNow }} inputs */
export function checkUnderWay({ seen, deeds, now }) {
  const { state, told, look } = seen;
  const { check } = now;
  const { captures: takes } = CHECKS[check.kind];
  return html`<section class="check" data-under-way=${check.kind} aria-label=${titleOf(check)}>
    <div class="check-head">
      <h2 tabindex="-1">${titleOf(check)} <small>${[askedWords(check, state.units), `begun ${whenWords(now.began, new Date())}`].filter(Boolean).join(", ")}</small></h2>
      <${AskedOnce} words="Give up" asks="What was captured is not used then." yes="Give it up" no="Go on" deed="give-up" onYes=${deeds.giveUp} />
    </div>
    <div class="next" data-live data-doubtful="true"><p class="move" data-live-move></p><p class="why" data-live-why></p></div>
    <div class="live" data-live data-doubtful="true">
      <p class="lines" data-live-lines></p>
      ${takes && html`<p class="stands" data-live-stands data-stands="unknown"></p>`}
    </div>
    <div class="acts-row">
      ${takes && html`<${CaptureForm} key=${now.began} now=${now} units=${state.units} capture=${deeds.capture} />`}
      <div class="finish">
        <button type="button" class=${!takes && now.missing === "" ? "main" : ""} data-deed="finish" disabled=${now.missing !== ""} onClick=${deeds.finish} aria-describedby="missing">Finish <kbd>${takes ? "/" : "Enter"}</kbd></button>
        <p id="missing">${now.missing}</p>
      </div>
    </div>
    <${RefusalWords} refusal=${told.refusal} />
    ${now.proof && html`<div class="finding so-far" data-finding=${now.proof.verdict} aria-label="What it finds so far"><h3>So far</h3>${verdictWords(now.proof)}</div>`}
    ${takes && capturesTable(now, state.units, deeds.leaveOut)}
    ${now.proof && html`<div class="finding">${figuresOf(now.proof, state.units, look)}</div>`}
  </section>`;
}
