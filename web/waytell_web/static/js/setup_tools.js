/**
 * Set up: which tool is in the post, and what the tools look like.
 *
 * @typedef {import("./setup_screen.js").SectionInputs} SectionInputs
 * @typedef {import("./types").Tool} Tool
 * @typedef {import("./types").ToolKind} ToolKind
 * @typedef {import("./types").Units} Units
 */

import { html, useState } from "../vendor/htm-preact-3.1.1.module.js";
import { tell } from "./acts.js";
import { changeConfig } from "./config_form.js";
import { Choice, Field, LengthField, readLength, readNumber, RefusalWords, useFields } from "./fields.js";
import { fieldText } from "./figures.js";
import { SendForm } from "./form.js";

/** @type {Tool} */
export const NEW_TOOL = {
  name: "", kind: "turning", nose_radius_mm: 0.4, hand: "right", approach_angle_deg: 93, point_angle_deg: 80, width_mm: 0, diameter_mm: 0,
  substance: "HSS", deepest_mm: 0, reach_mm: 0, shank_mm: 0,
};

/** @param {SectionInputs} inputs */
export function ToolsSection({ state, config, reload }) {
  const [edited, setEdited] = useState("");
  const tool = config.tools.find((one) => one.name === edited) ?? NEW_TOOL;
  return html`<${ToolInPost} state=${state} tools=${config.tools} />
    <details>
      <summary>Describe a tool</summary>
      <${Choice} label="Which" value=${edited} onChange=${setEdited}
        options=${[...config.tools.map((one) => [one.name, one.name]), ["", "a new tool"]]} />
      <${ToolKindForm} key=${edited} tool=${tool} units=${state.units} reload=${reload} />
    </details>`;
}

/** @param {{ state: import("./types").LiveState, tools: Tool[] }} inputs */
function ToolInPost({ state, tools }) {
  const [refusal, setRefusal] = useState(/** @type {import("./types").Refusal | null} */ (null));
  const choose = async (/** @type {string} */ tool) => setRefusal(await tell({ act: "choose_tool", tool }));
  return html`<${Choice} label="In the post" value=${state.tool?.tool.name ?? ""} onChange=${choose} options=${tools.map(({ name }) => [name, name])} />
    <p>${state.tool ? touchedWords(state.tool) : "No tool is chosen yet."}</p>
    <${RefusalWords} refusal=${refusal} />`;
}

/** @param {import("./types").ToolState} tool */
function touchedWords({ touched_x, touched_z }) {
  if (touched_x && touched_z) return "\u2713 Touched off across and along.";
  if (!touched_x && !touched_z) return "Not touched off yet, neither across nor along.";
  return touched_x ? "\u2713 Touched off across; not yet along." : "\u2713 Touched off along; not yet across.";
}

/** @type {[ToolKind, string][]} */
const KINDS = [
  ["turning", "turning and facing"],
  ["boring", "boring, inside"],
  ["grooving", "grooving and parting off"],
  ["drill", "drill, in the tailstock"],
];

/** What a tool of another kind would be at first: 118 degrees is the usual point of a drill. @param {ToolKind} kind @param {Tool} tool @returns {Tool} */
function asKind(kind, tool) {
  if (kind === tool.kind) return tool;
  const point_angle_deg = kind === "drill" ? 118 : 80;
  return { ...tool, kind, point_angle_deg, width_mm: kind === "grooving" ? 2 : 0, diameter_mm: kind === "drill" ? 6 : 0 };
}

/** @param {{ tool: Tool, units: Units, reload: () => void }} inputs */
export function ToolKindForm({ tool, units, reload }) {
  const [kind, setKind] = useState(tool.kind);
  return html`<${Choice} label="Kind" value=${kind} onChange=${setKind} options=${KINDS} />
    <${ToolForm} key=${kind} name=${tool.name} tool=${asKind(kind, tool)} units=${units} reload=${reload} />`;
}

/** `name` is what the tool is known by. @param {{ name: string, tool: Tool, units: Units, reload: () => void }} inputs */
function ToolForm({ name, tool, units, reload }) {
  const { kind } = tool;
  const [hand, setHand] = useState(tool.hand);
  const [substance, setSubstance] = useState(tool.substance);
  const { values, change } = useFields({
    name: tool.name,
    nose: fieldText(tool.nose_radius_mm, "slide", units),
    approach: String(tool.approach_angle_deg),
    point: String(tool.point_angle_deg),
    width: fieldText(tool.width_mm, "slide", units),
    diameter: fieldText(tool.diameter_mm, "slide", units),
    deepest: fieldText(tool.deepest_mm, "slide", units),
    reach: fieldText(tool.reach_mm, "slide", units),
    shank: fieldText(tool.shank_mm, "slide", units),
  });
  /** @returns {Tool} */
  const read = () => ({
    name: values.name,
    kind,
    hand,
    nose_radius_mm: readLength("Nose radius", values.nose, "slide", units),
    approach_angle_deg: readNumber("Angle of the cutting edge", values.approach),
    point_angle_deg: readNumber("Angle between the edges", values.point),
    width_mm: readLength("Width of the edge", values.width, "slide", units),
    diameter_mm: readLength("Diameter", values.diameter, "slide", units),
    substance,
    deepest_mm: readLength("Deepest cut", values.deepest, "slide", units),
    reach_mm: readLength("Reach", values.reach, "slide", units),
    shank_mm: readLength("Thickness behind the edge", values.shank, "slide", units),
  });
  const send = async () => {
    const next = read();
    return changeConfig((config) => ({ ...config, tools: replaced(config.tools, name, next) }));
  };
  const line = { along: "slide", units };
  const edged = kind === "turning" || kind === "boring";
  return html`<${SendForm} button="Keep this tool" send=${send} done=${reload}>
    <div class="fields">
      <${Field} kind="text" label="Name" value=${values.name} onInput=${change("name")} />
      ${kind === "grooving" && html`<${LengthField} ...${line} label="Width of the edge" value=${values.width} onInput=${change("width")}
        hint="touched off along at its corner nearer the headstock" />`}
      ${kind === "drill" ? html`<${LengthField} ...${line} label="Diameter" value=${values.diameter} onInput=${change("diameter")} />`
        : html`<${LengthField} ...${line} label="Nose radius" value=${values.nose} onInput=${change("nose")} />`}
      ${edged && html`<${Field} label="Angle of the cutting edge" unit="degrees from the feed" value=${values.approach} onInput=${change("approach")} />`}
      ${kind !== "grooving" && html`<${Field} label=${edged ? "Angle between the edges" : "Angle of the point"} unit="degrees" value=${values.point} onInput=${change("point")} />`}
      ${kind !== "drill" && html`<${LengthField} ...${line} label="Deepest cut that it bears" value=${values.deepest} onInput=${change("deepest")}
        hint="0 where only lathe and work limit it" />`}
      ${kind !== "turning" && html`<${LengthField} ...${line} label="Reach" value=${values.reach} onInput=${change("reach")}
        hint="how far in it goes; 0 where that is not known" />`}
      ${kind === "boring" && html`<${LengthField} ...${line} label="Thickness behind the edge" value=${values.shank} onInput=${change("shank")}
        hint="0 where that is not known" />`}
    </div>
    <${Choice} label="Made of" value=${substance} onChange=${setSubstance} options=${[["HSS", "high-speed steel"], ["carbide", "carbide"]]} />
    ${edged && html`<${Choice} label="Cuts towards" value=${hand} onChange=${setHand}
      options=${[["right", "the headstock (right-hand)"], ["left", "the tailstock (left-hand)"]]} />`}
  </${SendForm}>`;
}

/** @param {Tool[]} tools @param {string} name @param {Tool} next */
export function replaced(tools, name, next) {
  const known = tools.some((tool) => tool.name === name);
  return known ? tools.map((tool) => (tool.name === name ? next : tool)) : [...tools, next];
}
