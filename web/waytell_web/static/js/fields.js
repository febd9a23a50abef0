/**
 * Fields of forms. What was typed stays text until it is sent: nothing typed is lost or rewritten.
 *
 * @typedef {import("./figures.js").Along} Along
 * @typedef {import("./types").Refusal} Refusal
 * @typedef {import("./types").Units} Units
 * @typedef {{ label: string, value: string, onInput: (text: string) => void, unit?: string, hint?: string, first?: boolean, kind?: "number" | "text" }} FieldInputs
 */

import { html, useEffect, useRef, useState } from "../vendor/htm-preact-3.1.1.module.js";
import { fromShown, parseNumber, unitPhrase } from "./figures.js";

/** @param {Event} event */
export const typed = (event) => /** @type {HTMLInputElement} */ (event.target).value;

/** A labelled line to type in; the first one of a form takes the focus. @param {FieldInputs} inputs */
export function Field({ label, value, onInput, unit = "", hint = "", first = false, kind = "number" }) {
  const input = useRef(/** @type {HTMLInputElement | null} */ (null));
  useEffect(() => {
    if (first) input.current?.select();
  }, []);
  const mode = kind === "number" ? "decimal" : "text";
  return html`<label class="field">
    <span class="field-label">${label}</span>
    <span class="field-line">
      <input ref=${input} type="text" inputmode=${mode} data-number=${kind === "number" ? "" : undefined} autocomplete="off" value=${value} onInput=${(/** @type {Event} */ e) => onInput(typed(e))} />
      <span class="field-unit">${unit}</span>
    </span>
    ${hint && html`<span class="field-hint">${hint}</span>`}
  </label>`;
}

/** @param {Omit<FieldInputs, "unit"> & { along: Along, units: Units }} inputs */
export function LengthField({ along, units, ...rest }) {
  return html`<${Field} ...${rest} unit=${unitPhrase(along, units)} />`;
}

/** One of a few, as large buttons. @param {{ label: string, options: [string, string][], value: string, onChange: (value: string) => void }} inputs */
export function Choice({ label, options, value, onChange }) {
  const name = useState(() => `choice-${Math.random().toString(36).slice(2)}`)[0];
  return html`<fieldset class="choice">
    <legend>${label}</legend>
    <div class="choice-line">
      ${options.map(
        ([key, words]) => html`<label key=${key}>
          <input type="radio" name=${name} checked=${key === value} onChange=${() => onChange(key)} />
          <span>${words}</span>
        </label>`,
      )}
    </div>
  </fieldset>`;
}

/** @param {{ label: string, checked: boolean, onChange: (on: boolean) => void }} inputs */
export function Tick({ label, checked, onChange }) {
  const changed = (/** @type {Event} */ e) => onChange(/** @type {HTMLInputElement} */ (e.target).checked);
  return html`<label class="tick"><input type="checkbox" checked=${checked} onChange=${changed} /><span>${label}</span></label>`;
}

/** @param {{ refusal: Refusal | null }} inputs */
export function RefusalWords({ refusal }) {
  return html`<div class="refusal" role="alert">
    ${refusal && html`<p><strong>${refusal.error}</strong></p><p>${refusal.do}</p>`}
  </div>`;
}

/** Texts of the fields of one form, and a way to change each. @template {Record<string, string>} T @param {T} first */
export function useFields(first) {
  const [values, setValues] = useState(first);
  /** @param {keyof T} name */
  const change = (name) => (/** @type {string} */ text) => setValues((before) => ({ ...before, [name]: text }));
  return { values, change };
}

/** Thrown while a form is read; shown beside it, as the server's refusals are. */
export class Mistyped extends Error {
  /** @param {string} label @param {string} text */
  constructor(label, text) {
    super(text.trim() === "" ? `${label}: nothing is entered.` : `${label}: "${text}" is not a number.`);
  }
}

/** @param {string} label @param {string} text */
export function readNumber(label, text) {
  const value = parseNumber(text);
  if (value === null) throw new Mistyped(label, text);
  return value;
}

/** @param {string} label @param {string} text @param {Along} along @param {Units} units */
export function readLength(label, text, along, units) {
  return fromShown(readNumber(label, text), along, units);
}
