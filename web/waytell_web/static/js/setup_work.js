/**
 * Set up: the bar in the chuck, and the operation.
 *
 * @typedef {import("./setup_screen.js").SectionInputs} SectionInputs
 * @typedef {import("./types").LiveState} LiveState
 * @typedef {import("./types").PassKind} PassKind
 * @typedef {import("./types").PlannedOperation} PlannedOperation
 * @typedef {import("./types").Stock} Stock
 * @typedef {import("./types").Units} Units
 */

import { html, useState } from "../vendor/htm-preact-3.1.1.module.js";
import { tell } from "./acts.js";
import { Choice, Field, LengthField, readLength, readNumber, Tick, useFields } from "./fields.js";
import { fieldText } from "./figures.js";
import { SendForm } from "./form.js";
import { axesOf, KINDS } from "./kinds.js";

/** A bar's own diameter is a diameter, whatever X is shown as. @type {(units: Units) => Units} */
const asDiameter = (units) => ({ ...units, x_as: "diameter" });

/** @param {Stock | null} stock @param {Units} units */
function barTexts(stock, units) {
  /** @param {number} mm */
  const plain = (mm) => fieldText(mm, "slide", units);
  return {
    diameter: stock ? plain(stock.diameter_mm) : "",
    length: stock ? plain(stock.length_mm) : "",
    bore: stock ? plain(stock.bore_mm) : "0",
    front: stock ? plain(stock.front_mm) : "0",
    material: stock?.material ?? "bronze",
    note: "",
  };
}

/** @param {SectionInputs} inputs */
export function BarSection({ state }) {
  const units = asDiameter(state.units);
  const { stock, set_up } = state.work;
  const { values, change } = useFields(barTexts(stock, units));
  /** @param {string} label @param {string} text */
  const length = (label, text) => readLength(label, text, "slide", units);
  const send = async () =>
    tell({
      act: "new_set_up",
      note: values.note,
      stock: {
        diameter_mm: length("Diameter", values.diameter),
        length_mm: length("Length out of the chuck", values.length),
        bore_mm: length("Bore", values.bore),
        front_mm: length("End of the bar", values.front),
        material: values.material,
        expansion_um_m_k: stock?.expansion_um_m_k ?? 0,
      },
    });
  const line = { along: "slide", units };
  return html`<p>${set_up > 0 ? `Set-up ${set_up} is in use.` : "Nothing is set up yet."} Press the button each time the work is put in, turned round
      or chucked again: what was touched off along is void then.</p>
    <${SendForm} button="New set-up" send=${send}>
      <div class="fields">
        <${LengthField} ...${line} label="Diameter" value=${values.diameter} onInput=${change("diameter")} />
        <${LengthField} ...${line} label="Length out of the chuck" value=${values.length} onInput=${change("length")} />
        <${LengthField} ...${line} label="Bore, 0 for solid" value=${values.bore} onInput=${change("bore")} />
        <${LengthField} ...${line} label="End of the bar, along" value=${values.front} onInput=${change("front")} hint="0 where the finished face will be" />
        <${Field} kind="text" label="Material" value=${values.material} onInput=${change("material")} />
        <${Field} kind="text" label="Note" value=${values.note} onInput=${change("note")} />
      </div>
    </${SendForm}>`;
}

/** Sensible first entries for a kind, from the bar. @param {PassKind} kind @param {LiveState} state @returns {PlannedOperation} */
function blank(kind, { work, tool }) {
  const { stock } = work;
  const bar = { outside: stock ? stock.diameter_mm / 2 : 10, bore: (stock?.bore_mm ?? 0) / 2, drill: (tool?.tool.diameter_mm ?? 0) / 2 };
  const { name, first, plunges } = KINDS[kind];
  const [start_mm, end_mm, target_mm] = first(bar);
  return {
    name,
    kind,
    start_mm,
    end_mm,
    target_mm,
    depth_mm: 0.3,
    finish_mm: plunges || kind === "chamfer" ? 0 : 0.1,
    tolerance_mm: 0,
    planned_rpm: 0,
    free_first_pass: kind === "facing",
  };
}

/** @param {PlannedOperation} operation @param {Units} units */
function operationTexts(operation, units) {
  const { feed, held } = axesOf(operation.kind);
  return {
    name: operation.name,
    start: fieldText(operation.start_mm, feed, units),
    end: fieldText(operation.end_mm, feed, units),
    target: fieldText(operation.target_mm, held, units),
    depth: fieldText(operation.depth_mm, held, units),
    finish: fieldText(operation.finish_mm, held, units),
    tolerance: fieldText(operation.tolerance_mm, held, units),
    rpm: String(operation.planned_rpm),
  };
}

/** @type {[PassKind, string][]} */
const KIND_CHOICES = Object.entries(KINDS).map(([kind, { words }]) => [/** @type {PassKind} */ (kind), words]);

/** @param {SectionInputs} inputs */
export function OperationSection({ state }) {
  const { operation } = state;
  const [kind, setKind] = useState(operation?.kind ?? "facing");
  // Each kind has fields of its own on other axes: another kind is another form.
  return html`<p>${operation ? `Chosen now: ${operation.name}.` : "None is chosen yet."}</p>
    <${Choice} label="Kind" value=${kind} onChange=${setKind} options=${KIND_CHOICES} />
    <${OperationForm} key=${`${kind} ${operation?.name}`} kind=${kind} state=${state} />`;
}

/** @param {{ kind: PassKind, state: LiveState }} inputs */
function OperationForm({ kind, state }) {
  const { units, operation } = state;
  const first = operation?.kind === kind ? operation : blank(kind, state);
  const { values, change } = useFields(operationTexts(first, units));
  const [free, setFree] = useState(first.free_first_pass);
  const { feed, held } = axesOf(kind);
  const labels = KINDS[kind];
  const onFeed = { along: feed, units };
  const onHeld = { along: held, units };
  const send = async () => tell({ act: "choose_operation", operation: readOperation(kind, values, free, units) });
  return html`<${SendForm} button="Use this operation" send=${send}>
    <div class="fields">
      <${Field} kind="text" label="Name" value=${values.name} onInput=${change("name")} />
      <${LengthField} ...${onFeed} label=${labels.start_label} value=${values.start} onInput=${change("start")} />
      <${LengthField} ...${onFeed} label=${labels.end_label} value=${values.end} onInput=${change("end")} />
      <${LengthField} ...${onHeld} label=${labels.target_label} value=${values.target} onInput=${change("target")} />
      ${!labels.plunges && html`<${LengthField} ...${onHeld} label="Deepest roughing pass" value=${values.depth} onInput=${change("depth")} />
        <${LengthField} ...${onHeld} label="Left for one last pass" value=${values.finish} onInput=${change("finish")} />`}
      <${LengthField} ...${onHeld} label="Limits apart (0: none given)" value=${values.tolerance} onInput=${change("tolerance")} />
      <${Field} label="Planned spindle speed (0: none)" unit="turns a minute" value=${values.rpm} onInput=${change("rpm")} />
    </div>
    ${!labels.plunges && html`<${Tick} label="The first pass is a free skim: watched, no alarm" checked=${free} onChange=${setFree} />`}
  </${SendForm}>`;
}

/** @param {PassKind} kind @param {Record<string, string>} values @param {boolean} free @param {Units} units @returns {PlannedOperation} */
function readOperation(kind, values, free, units) {
  const { feed, held } = axesOf(kind);
  const labels = KINDS[kind];
  return {
    name: values.name,
    kind,
    start_mm: readLength(labels.start_label, values.start, feed, units),
    end_mm: readLength(labels.end_label, values.end, feed, units),
    target_mm: readLength(labels.target_label, values.target, held, units),
    depth_mm: readLength("Deepest roughing pass", values.depth, held, units),
    finish_mm: readLength("Left for one last pass", values.finish, held, units),
    tolerance_mm: readLength("Limits apart", values.tolerance, held, units),
    free_first_pass: free,
    planned_rpm: readNumber("Planned spindle speed", values.rpm),
  };
}
