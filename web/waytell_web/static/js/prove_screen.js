/**
 * The list on one side; on the other the check under way, what a check found, or how far positions can be relied on.
 *
 * @typedef {import("./prove_types").Inputs} Inputs
 */

import { html } from "../vendor/htm-preact-3.1.1.module.js";
import { checkUnderWay } from "./prove_check.js";
import { kindPanel } from "./prove_findings.js";
import { checksList } from "./prove_list.js";
import { trustPanel } from "./prove_trust.js";

/** @param {Inputs} inputs */
export function provePage(inputs) {
  const { state, place } = inputs.seen;
  return html`<header class="title-line">
      <p class="what">${state.machine}${state.demo ? ": demonstration" : ""}</p>
      <nav aria-label="Screens">
        <button type="button" class="tab" aria-pressed="true" onClick=${() => inputs.deeds.go("")}>Prove</button>
        <a class="tab" href="plan">Plan</a>
        <a class="tab" href="review">Review</a>
        <a class="tab" href=".">To the cut</a>
      </nav>
    </header>
    <p class="silent" data-silent hidden>The server does not answer: what was found since is not here.</p>
    <main class="prove-screen" data-at=${place || "list"}>
      ${checksList(inputs)}
      <div class="panel">
        <button type="button" class="to-list" data-deed="to-list" onClick=${() => inputs.deeds.go("")}>\u2190 All checks</button>
        ${panel(inputs)}
      </div>
    </main>`;
}

/** @param {Inputs} inputs */
function panel(inputs) {
  const { proving, place } = inputs.seen;
  const now = proving.check;
  if (now && (place === "" || place === now.check.kind)) return checkUnderWay({ ...inputs, now });
  return place === "" || place === "trust" ? trustPanel(inputs) : kindPanel({ ...inputs, kind: place });
}
