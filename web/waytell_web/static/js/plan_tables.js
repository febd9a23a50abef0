/**
 * The tables that plans are reckoned from: materials, tools, the lathe. Each can be changed and is kept with the machine.
 *
 * @typedef {import("./plan_types").Deeds} Deeds
 * @typedef {import("./plan_types").Seen} Seen
 * @typedef {import("./plan_types").Tables} Tables
 * @typedef {import("./types").Tool} Tool
 * @typedef {import("./types").Units} Units
 */

import { html, useState } from "../vendor/htm-preact-3.1.1.module.js";
import { changeConfig } from "./config_form.js";
import { Choice } from "./fields.js";
import { unitWord } from "./figures.js";
import { SendForm } from "./form.js";
import { MachineTable } from "./plan_machine.js";
import { MaterialsTable } from "./plan_materials.js";
import { drawnText } from "./plan_words.js";
import { NEW_TOOL, ToolKindForm } from "./setup_tools.js";

/** @param {Seen} seen @param {Deeds} deeds */
export function tablesView({ tables, state }, { reload }) {
  if (!tables) return html`<p class="none">Asking the server for the tables.</p>`;
  const inputs = { tables, units: state.units, reload };
  // Typed numbers mean nothing in other units: with new units the forms begin anew.
  return html`<div class="tables" key=${`${state.units.length} ${state.units.x_as}`}>
    <section aria-label="Materials"><h2>Materials</h2><${MaterialsTable} ...${inputs} /></section>
    <section aria-label="Tools"><h2>Tools</h2><${ToolsTable} ...${inputs} /></section>
    <section aria-label="The lathe"><h2>The lathe</h2><${MachineTable} ...${inputs} /></section>
  </div>`;
}

/** @param {{ tables: Tables, units: Units, reload: () => void }} inputs */
function ToolsTable({ tables, units, reload }) {
  const { tools } = tables.config;
  const [edited, setEdited] = useState(/** @type {Tool | null} */ (null));
  const usual = tables.tools.filter(({ name }) => !tools.some((one) => one.name === name));
  const remove = (/** @type {string} */ name) => changeConfig((config) => ({ ...config, tools: config.tools.filter((one) => one.name !== name) }));
  return html`<div class="table-room"><table class="tool-table">
      <thead><tr><th class="words">Tool</th><th class="words">what it is</th><th></th></tr></thead>
      <tbody>${tools.map((tool) => html`<tr key=${tool.name}>
        <td class="words">${tool.name}</td><td class="words">${toolWords(tool, units)}</td>
        <td><button type="button" onClick=${() => setEdited(tool)}>Change</button></td>
      </tr>`)}</tbody>
    </table></div>
    <${Choice} label="Describe" value=${edited?.name ?? ""} onChange=${(/** @type {string} */ name) => setEdited([...tools, ...usual, NEW_TOOL].find((one) => one.name === name) ?? null)}
      options=${[["", "none"], ...usual.map(({ name }) => [name, `a usual ${name}`])]} />
    <div class="form-buttons"><button type="button" onClick=${() => setEdited({ ...NEW_TOOL })}>A tool of your own</button></div>
    ${edited && html`<${ToolKindForm} key=${edited.name} tool=${edited} units=${units} reload=${reload} />`}
    ${edited && tools.length > 1 && tools.some(({ name }) => name === edited.name) && html`<${SendForm} key=${`remove ${edited.name}`} button="Take it out" send=${() => remove(edited.name)} done=${() => { setEdited(null); reload(); }} />`}`;
}

/** @param {Tool} tool @param {Units} units */
function toolWords({ kind, substance, nose_radius_mm, width_mm, diameter_mm, reach_mm }, units) {
  const length = (/** @type {number} */ mm) => `${drawnText(units, mm)} ${unitWord(units)}`;
  const sizes = [
    kind === "drill" ? `\u2300\u00a0${length(diameter_mm)}` : "",
    kind === "grooving" ? `${length(width_mm)} wide` : "",
    nose_radius_mm > 0 ? `nose radius ${length(nose_radius_mm)}` : "",
    reach_mm > 0 ? `reaches ${length(reach_mm)}` : "",
  ];
  return [kind, substance === "HSS" ? "high-speed steel" : substance, ...sizes].filter(Boolean).join(", ");
}
