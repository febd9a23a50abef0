/**
 * The part: what was measured on it, what was drilled without a scale, and that it is done.
 *
 * @typedef {import("./types").LiveState} LiveState
 * @typedef {import("./types").PlannedOperation} PlannedOperation
 * @typedef {{ state: LiveState, close: () => void }} SheetInputs
 * @typedef {"measured" | "drilled" | "done" | "told"} What
 */

import { html, useEffect, useState } from "../vendor/htm-preact-3.1.1.module.js";
import { getEvents, tell } from "./acts.js";
import { Choice, Field, LengthField, readLength, useFields } from "./fields.js";
import { fieldText } from "./figures.js";
import { SendForm } from "./form.js";
import { HistorySheet } from "./history_sheet.js";
import { axesOf } from "./kinds.js";
import { knownOperations } from "./operations.js";
import { micrometerMm, readable, TriedSize, useConfig } from "./tried_size.js";

/** @type {Record<What, (inputs: SheetInputs) => unknown>} */
const BODIES = { measured: Measured, drilled: Drilled, done: Done, told: HistorySheet };

/** @param {SheetInputs} inputs */
export function PartSheet({ state, close }) {
  const [what, setWhat] = useState(/** @type {What} */ ("measured"));
  const Body = BODIES[what];
  return html`<${Choice} label=${`Part ${state.work.part}`} value=${what} onChange=${setWhat}
      options=${[["measured", "a size measured"], ["drilled", "a hole drilled"], ["done", "part done"], ["told", "what was told"]]} />
    <${Body} state=${state} close=${close} />`;
}

/** The size is that of an operation: the present one, or one before it. @param {SheetInputs} inputs */
function Measured({ state, close }) {
  const [known, setKnown] = useState(/** @type {PlannedOperation[]} */ (state.operation ? [state.operation] : []));
  const [name, setName] = useState(state.operation?.name ?? "");
  const config = useConfig();
  useEffect(() => {
    getEvents().then((events) => events && setKnown(knownOperations(events)));
  }, []);
  const operation = known.find((one) => one.name === name);
  return html`${known.length === 0 && html`<p>A size belongs to an operation, and none was chosen yet.</p>`}
    ${known.length > 1 && html`<${Choice} label="Of" value=${name} onChange=${setName} options=${known.map((one) => [one.name, one.name])} />`}
    ${operation && config !== undefined && html`<${MeasuredForm} key=${name} operation=${operation} config=${config} state=${state} close=${close} />`}`;
}

/** @param {PlannedOperation} operation @returns {[low_mm: number, high_mm: number] | null} */
export function limitsOf({ target_mm, tolerance_mm }) {
  return tolerance_mm > 0 ? [target_mm - tolerance_mm / 2, target_mm + tolerance_mm / 2] : null;
}

/** @param {SheetInputs & { operation: PlannedOperation, config: import("./types").Config | null }} inputs */
function MeasuredForm({ operation, config, state, close }) {
  const { units } = state;
  const axis = axesOf(operation.kind).held;
  const limits = limitsOf(operation);
  /** @param {number} n */
  const limit = (n) => (limits ? fieldText(limits[n], axis, units) : "");
  const sure = config ? fieldText(micrometerMm(config, axis), axis, units) : "";
  const { values, change } = useFields({ at: "", u: sure, low: limit(0), high: limit(1) });
  /** @param {string} label @param {string} text */
  const length = (label, text) => readLength(label, text, axis, units);
  const size = () => ({
    operation: operation.name,
    axis,
    at_mm: length("Measured", values.at),
    u_mm: values.u.trim() ? length("Sure within", values.u) : 0,
    low_mm: values.low.trim() ? length("Smallest allowed", values.low) : null,
    high_mm: values.high.trim() ? length("Largest allowed", values.high) : null,
  });
  const send = async () => tell({ act: "measured", ...size() });
  const line = { along: axis, units };
  return html`<${SendForm} button="Measured" send=${send} done=${close} cancel=${close}>
    <div class="fields">
      <${LengthField} ...${line} label=${axis === "X" ? "Measured size" : "Measured, along"} value=${values.at} onInput=${change("at")} first />
      <${LengthField} ...${line} label="Sure within \u00b1" value=${values.u} onInput=${change("u")} />
      <${TriedSize} asked=${readable(size)} />
      <${LengthField} ...${line} label="Smallest allowed" value=${values.low} onInput=${change("low")} />
      <${LengthField} ...${line} label="Largest allowed" value=${values.high} onInput=${change("high")} />
    </div>
  </${SendForm}>`;
}

/** @param {SheetInputs} inputs */
function Drilled({ state, close }) {
  const { units, tool } = state;
  const drill_mm = tool?.tool.kind === "drill" ? tool.tool.diameter_mm : null;
  const { values, change } = useFields({ diameter: drill_mm === null ? "" : fieldText(drill_mm, "slide", units), to: "", from: "" });
  const send = async () =>
    tell({
      act: "drilled",
      diameter_mm: readLength("Diameter", values.diameter, "slide", units),
      to_mm: readLength("Full to", values.to, "Z", units),
      from_mm: values.from.trim() ? readLength("Begins", values.from, "Z", units) : null,
    });
  const line = { along: "Z", units };
  return html`<${SendForm} button="Drilled" send=${send} done=${close} cancel=${close}>
    <div class="fields">
      <${LengthField} label="Diameter" value=${values.diameter} onInput=${change("diameter")} along="slide" units=${units} first />
      <${LengthField} ...${line} label="Full to, along" value=${values.to} onInput=${change("to")} hint="The point of the drill goes deeper." />
      <${LengthField} ...${line} label="Begins, along (empty: the face)" value=${values.from} onInput=${change("from")} />
    </div>
  </${SendForm}>`;
}

/** @param {SheetInputs} inputs */
function Done({ state, close }) {
  const { values, change } = useFields({ part: "" });
  const send = async () => tell({ act: "part_done", part: values.part });
  return html`<p class="field-hint">What is cut from here on belongs to part ${state.work.part + 1}.</p>
    <${SendForm} button=${`Part ${state.work.part} is done`} send=${send} done=${close} cancel=${close}>
      <${Field} kind="text" label="Name, the same for each of a batch (may be empty)" value=${values.part} onInput=${change("part")} first />
    </${SendForm}>`;
}
