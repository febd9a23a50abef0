/**
 * Keeping the part: handing it to the lathe, files in and out, taking back the newest act.
 *
 * @typedef {import("./plan_questions.js").Inputs} Inputs
 */

import { html } from "../vendor/htm-preact-3.1.1.module.js";
import { RefusalWords } from "./fields.js";
import { draftOf, emptyDraft } from "./plan_draft.js";

/** @param {Inputs} inputs @param {boolean} kept what is told is what Waytell keeps */
export function keeping({ seen, deeds }, kept) {
  const { told, state, kept: stored } = seen;
  // Few press it: it is fetched when one does.
  const example = async () => deeds.begin(draftOf((await import("./plan_example.js")).EXAMPLE, state.units));
  return html`<section class="keeping" aria-label="Keep it">
    <p class="kept" data-kept=${kept}>${kept ? `\u2713 \u201c${stored.part?.name}\u201d is the part in use.` : "Not in use yet: only this page has what you typed."}</p>
    <${RefusalWords} refusal=${told.refusal} />
    <p role="status" class="sent">${told.words}</p>
    <div class="form-buttons">
      <button type="button" class="main" data-deed="keep" disabled=${kept} onClick=${deeds.keep}>Use this part</button>
      ${stored.undo.length > 0 && html`<button type="button" data-deed="take-back" onClick=${deeds.takeBack}>Take back: ${stored.undo[0]}</button>`}
      ${stored.part && html`<a class="button" href="api/export/set-up-sheet.html" target="_blank">Set-up sheet</a><a class="button" href="api/export/part.toml" download>Part file</a>`}
      <label class="button file">Read a part file<input type="file" accept=".toml,text/plain" data-file onChange=${(/** @type {Event} */ event) => chosen(event, deeds.read)} /></label>
      <button type="button" data-deed="example" onClick=${example}>Invented example</button>
      <button type="button" data-deed="new" onClick=${() => deeds.begin(emptyDraft())}>Empty form</button>
    </div>
  </section>`;
}

/** @param {Event} event @param {(file: File) => void} read */
function chosen(event, read) {
  const input = /** @type {HTMLInputElement} */ (event.target);
  const file = input.files?.[0];
  if (file) read(file);
  // The same file may be chosen again once it was corrected.
  input.value = "";
}
