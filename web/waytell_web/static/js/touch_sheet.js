/**
 * Touched off: which axis, how, and where the surface is.
 *
 * @typedef {import("./types").Axis} Axis
 * @typedef {import("./types").LiveState} LiveState
 */

import { html, useState } from "../vendor/htm-preact-3.1.1.module.js";
import { tell } from "./acts.js";
import { Choice, LengthField, readLength, useFields } from "./fields.js";
import { fieldText, isDiameter } from "./figures.js";
import { SendForm } from "./form.js";
import { limitsOf } from "./part_sheet.js";
import { micrometerMm, readable, TriedSize, useConfig } from "./tried_size.js";

/** @typedef {"touch" | "measured" | "shim"} How */
/** @typedef {"here" | "last_pass"} Where */

/** The axis that still lacks it; else the one that is held. @param {LiveState} state @returns {Axis} */
export function axisToTouch(state) {
  const missing = state.axes.find((axis) => axis.referenced_by === null);
  return missing?.axis ?? state.operation?.held_axis ?? "X";
}

/** Surfaces whose place is known already: one press instead of typing. @param {LiveState} state @param {Axis} axis @returns {[string, number][]} */
export function knownSurfaces(state, axis) {
  const { stock } = state.work;
  if (!stock) return [];
  return axis === "X" ? [["outside of the bar", stock.diameter_mm / 2]] : [["end of the bar", stock.front_mm]];
}

/** @param {Axis} axis @param {LiveState} state */
function placeLabel(axis, state) {
  if (axis === "Z") return "Where the surface is, along";
  return isDiameter("X", state.units) ? "Diameter there" : "Radius there";
}

/** @param {{ state: LiveState, close: () => void }} inputs */
export function TouchSheet({ state, close }) {
  const { units } = state;
  const [axis, setAxis] = useState(() => axisToTouch(state));
  const [how, setHow] = useState(/** @type {How} */ ("touch"));
  const [where, setWhere] = useState(/** @type {Where} */ ("here"));
  const { values, change } = useFields({ at: "", shim: "" });
  const label = placeLabel(axis, state);
  const config = useConfig();
  const chooseHow = (/** @type {How} */ next) => {
    setHow(next);
    setWhere(next === "measured" && state.last_pass ? "last_pass" : "here");
  };
  const asked = () => ({
    ...sizeOfLastPass(state, axis),
    u_mm: config ? micrometerMm(config, axis) : 0,
    at_mm: readLength(label, values.at, axis, units),
  });
  const send = async () =>
    tell({
      act: "touch_off",
      axis,
      how,
      at_mm: readLength(label, values.at, axis, units),
      shim_mm: how === "shim" ? readLength("Shim", values.shim, "slide", units) : 0,
      where,
    });
  return html`<${SendForm} button="Touched off" send=${send} done=${close} cancel=${close}>
    <${Choice} label="Which way" value=${axis} onChange=${setAxis} options=${[["X", "across (X)"], ["Z", "along (Z)"]]} />
    <${Choice} label="How" value=${how} onChange=${chooseHow}
      options=${[["touch", "tool touches"], ["measured", "cut, then measured"], ["shim", "shim between"]]} />
    <${LengthField} label=${label} value=${values.at} onInput=${change("at")} along=${axis} units=${units} first />
    ${how === "measured" && where === "last_pass" && html`<${TriedSize} asked=${readable(asked)} advises=${false} />`}
    ${how === "touch" && html`<${Suggestions} state=${state} axis=${axis} choose=${change("at")} />`}
    ${how === "shim" && html`<${LengthField} label="Shim" value=${values.shim} onInput=${change("shim")} along="slide" units=${units} />`}
    ${how === "measured" && html`<${Choice} label="Where the tool stood" value=${where} onChange=${setWhere}
      options=${[["last_pass", "as in the last pass"], ["here", "where it is now"]]} />`}
  </${SendForm}>`;
}

/** Its limits are known while its operation is still the present one. @param {LiveState} state @param {Axis} axis */
export function sizeOfLastPass(state, axis) {
  const { operation, last_pass } = state;
  const present = operation !== null && operation.name === last_pass?.operation && operation.held_axis === axis;
  const [low_mm, high_mm] = (present && limitsOf(operation)) || [null, null];
  return { operation: "", axis, low_mm, high_mm };
}

/** @param {{ state: LiveState, axis: Axis, choose: (text: string) => void }} inputs */
function Suggestions({ state, axis, choose }) {
  return html`<div class="one-of">
    ${knownSurfaces(state, axis).map(([words, mm]) => {
      const text = fieldText(mm, axis, state.units);
      return html`<button type="button" key=${words} onClick=${() => choose(text)}>${words}: ${text}</button>`;
    })}
  </div>`;
}
