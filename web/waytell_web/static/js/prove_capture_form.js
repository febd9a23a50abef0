/**
 * Capturing: what the reference says, and one large button. Enter captures wherever the keyboard is, and figures typed
 * anywhere go into the field, so that a keypad is enough.
 *
 * @typedef {import("./prove_types").CheckNow} CheckNow
 * @typedef {import("./prove_types").Wants} Wants
 * @typedef {import("./types").Refusal} Refusal
 * @typedef {import("./types").Units} Units
 */

import { html, useEffect, useRef, useState } from "../vendor/htm-preact-3.1.1.module.js";
import { Mistyped, readLength, RefusalWords, typed } from "./fields.js";
import { fieldText, unitWord } from "./figures.js";

/** @type {Record<Wants, string>} */
const SAYS = { "": "", place: "It stands at", dial: "The dial reads", diameter: "Measured diameter" };

/** What is captured: the number typed, else the one suggested; null where the check asks for none. @param {Wants} wants @param {string} text @param {Units} units */
export function said(wants, text, units) {
  return wants === "" ? null : readLength(SAYS[wants], text, "slide", units);
}

/** @param {{ now: CheckNow, units: Units, capture: (says_mm: number | null) => Promise<Refusal | null> }} inputs */
export function CaptureForm({ now, units, capture }) {
  const { wants, suggests_mm, captures } = now;
  const [own, setOwn] = useState(/** @type {string | null} */ (null));
  const [refusal, setRefusal] = useState(/** @type {Refusal | null} */ (null));
  const [sending, setSending] = useState(false);
  const input = useRef(/** @type {HTMLInputElement | null} */ (null));
  const text = own ?? (suggests_mm === null ? "" : fieldText(suggests_mm, "slide", units));
  // What was typed belonged to the capture before.
  useEffect(() => setOwn(null), [captures.length, units.length]);
  // What is suggested stands selected, so that typing replaces it.
  const suggested = own === null;
  useEffect(() => {
    if (suggested && document.activeElement === input.current) input.current?.select();
  }, [suggested, text, captures.length]);
  const submit = async (/** @type {Event} */ event) => {
    event.preventDefault();
    if (sending) return;
    setSending(true);
    const answer = await attempt(() => capture(said(wants, text, units)));
    setSending(false);
    setRefusal(answer);
    if (answer && document.activeElement === input.current) input.current?.select();
  };
  return html`<form class="capture" data-capture onSubmit=${submit} novalidate>
    ${wants !== "" && html`<label class="says"><span>${SAYS[wants]}</span>
      <input ref=${input} type="text" inputmode="decimal" autocomplete="off" data-says value=${text} onInput=${(/** @type {Event} */ e) => setOwn(typed(e))} />
      <span>${unitWord(units)}</span></label>`}
    <button type="submit" class="capture-button" data-live-capture data-deed="capture" aria-disabled=${sending}>Capture <kbd>Enter</kbd></button>
    <${RefusalWords} refusal=${refusal} />
  </form>`;
}

/** @param {() => Promise<Refusal | null>} send @returns {Promise<Refusal | null>} */
async function attempt(send) {
  try {
    return await send();
  } catch (problem) {
    if (problem instanceof Mistyped) return { error: problem.message, do: "Type what the reference says here, such as 12.5, then capture." };
    throw problem;
  }
}
