/**
 * Set up: the bar in the chuck, and the operation.
 *
 * @typedef {import("./setup_screen.js").SectionInputs} SectionInputs
 * @typedef {import("./types").Axis} Axis
 * @typedef {import("./types").PlannedOperation} PlannedOperation
 * @typedef {import("./types").Stock} Stock
 * @typedef {import("./types").Units} Units
 */

import { html, useState } from "../vendor/htm-preact-3.1.1.module.js";
import { tell } from "./acts.js";
import { Choice, Field, LengthField, readLength, readNumber, Tick, useFields } from "./fields.js";
import { fieldText } from "./figures.js";
import { SendForm } from "./form.js";

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

/** @param {"facing" | "turning"} kind @returns {{ feed: Axis, held: Axis }} */
function axesOf(kind) {
  return kind === "facing" ? { feed: "X", held: "Z" } : { feed: "Z", held: "X" };
}

/** Sensible first entries for a kind, from the bar. @param {"facing" | "turning"} kind @param {Stock | null} stock */
function blank(kind, stock) {
  const radius = stock ? stock.diameter_mm / 2 : 10;
  const face = kind === "facing";
  return {
    name: face ? "face the end" : "turn to the shoulder",
    start_mm: face ? radius : 0,
    end_mm: face ? (stock?.bore_mm ?? 0) / 2 : -10,
    target_mm: face ? 0 : radius,
    depth_mm: 0.3,
    finish_mm: 0.1,
    tolerance_mm: 0,
    planned_rpm: 0,
    free_first_pass: face,
  };
}

/** @param {ReturnType<typeof blank>} operation @param {"facing" | "turning"} kind @param {Units} units */
function operationTexts(operation, kind, units) {
  const { feed, held } = axesOf(kind);
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

/** @type {Record<"facing" | "turning", { start: string, end: string, target: string }>} */
const LABELS = {
  facing: { start: "Outside of the bar", end: "Feed ends at (0: the centre)", target: "Finished face, along" },
  turning: { start: "Feed begins, along", end: "Shoulder, along", target: "Finished size" },
};

/** @param {SectionInputs} inputs */
export function OperationSection({ state }) {
  const { operation } = state;
  const [kind, setKind] = useState(operation?.kind ?? "facing");
  // Each kind has fields of its own on other axes: another kind is another form.
  return html`<p>${operation ? `Chosen now: ${operation.name}.` : "None is chosen yet."}</p>
    <${Choice} label="Kind" value=${kind} onChange=${setKind}
      options=${[["facing", "facing: fed across"], ["turning", "turning: fed along"]]} />
    <${OperationForm} key=${`${kind} ${operation?.name}`} kind=${kind} state=${state} />`;
}

/** @param {{ kind: "facing" | "turning", state: import("./types").LiveState }} inputs */
function OperationForm({ kind, state }) {
  const { units, operation, work } = state;
  const first = operation?.kind === kind ? operation : blank(kind, work.stock);
  const { values, change } = useFields(operationTexts(first, kind, units));
  const [free, setFree] = useState(first.free_first_pass);
  const { feed, held } = axesOf(kind);
  const labels = LABELS[kind];
  const onFeed = { along: feed, units };
  const onHeld = { along: held, units };
  const send = async () => tell({ act: "choose_operation", operation: readOperation(kind, values, free, units) });
  return html`<${SendForm} button="Use this operation" send=${send}>
    <div class="fields">
      <${Field} kind="text" label="Name" value=${values.name} onInput=${change("name")} />
      <${LengthField} ...${onFeed} label=${labels.start} value=${values.start} onInput=${change("start")} />
      <${LengthField} ...${onFeed} label=${labels.end} value=${values.end} onInput=${change("end")} />
      <${LengthField} ...${onHeld} label=${labels.target} value=${values.target} onInput=${change("target")} />
      <${LengthField} ...${onHeld} label="Deepest roughing pass" value=${values.depth} onInput=${change("depth")} />
      <${LengthField} ...${onHeld} label="Left for one last pass" value=${values.finish} onInput=${change("finish")} />
      <${LengthField} ...${onHeld} label="Limits apart (0: none given)" value=${values.tolerance} onInput=${change("tolerance")} />
      <${Field} label="Planned spindle speed (0: none)" unit="turns a minute" value=${values.rpm} onInput=${change("rpm")} />
    </div>
    <${Tick} label="The first pass is a free skim: watched, no alarm" checked=${free} onChange=${setFree} />
  </${SendForm}>`;
}

/** @param {"facing" | "turning"} kind @param {Record<string, string>} values @param {boolean} free @param {Units} units @returns {PlannedOperation} */
function readOperation(kind, values, free, units) {
  const { feed, held } = axesOf(kind);
  const labels = LABELS[kind];
  return {
    name: values.name,
    kind,
    start_mm: readLength(labels.start, values.start, feed, units),
    end_mm: readLength(labels.end, values.end, feed, units),
    target_mm: readLength(labels.target, values.target, held, units),
    depth_mm: readLength("Deepest roughing pass", values.depth, held, units),
    finish_mm: readLength("Left for one last pass", values.finish, held, units),
    tolerance_mm: readLength("Limits apart", values.tolerance, held, units),
    free_first_pass: free,
    planned_rpm: readNumber("Planned spindle speed", values.rpm),
  };
}
