/**
 * Materials: what is known of each, where each value comes from, and the person's own values.
 *
 * @typedef {import("./plan_types").Tables} Tables
 * @typedef {import("./types").Material} Material
 * @typedef {import("./types").Sourced} Sourced
 * @typedef {import("./types").SpeedRange} SpeedRange
 */

import { html, useState } from "../vendor/htm-preact-3.1.1.module.js";
import { changeConfig } from "./config_form.js";
import { Choice, Field, readNumber, useFields } from "./fields.js";
import { SendForm } from "./form.js";

/** @typedef {"density_kg_m3" | "modulus_gpa" | "expansion_um_m_k" | "kc11_n_mm2" | "mc"} ValueName */
/** @type {{ name: ValueName, label: string, unit: string }[]} */
const VALUES = [
  { name: "density_kg_m3", label: "Density", unit: "kg/m\u00b3" },
  { name: "modulus_gpa", label: "Young\u2019s modulus", unit: "GPa" },
  { name: "expansion_um_m_k", label: "Thermal expansion", unit: "\u00b5m/(m K)" },
  { name: "kc11_n_mm2", label: "Specific cutting force, chip of 1 mm by 1 mm", unit: "N/mm\u00b2" },
  { name: "mc", label: "How fast it rises with thinner chips, mc", unit: "" },
];
/** @type {{ name: "hss" | "carbide", label: string }[]} */
const SPEEDS = [
  { name: "hss", label: "Cutting speed, high-speed steel" },
  { name: "carbide", label: "Cutting speed, carbide" },
];

/** @param {{ tables: Tables, reload: () => void }} inputs */
export function MaterialsTable({ tables, reload }) {
  const [name, setName] = useState(tables.materials[0]?.name ?? "");
  const material = tables.materials.find((one) => one.name === name) ?? tables.materials[0];
  if (!material) return html`<p class="none">No material is known.</p>`;
  const own = tables.config.materials.some((one) => one.name === material.name);
  const remove = () => changeConfig((config) => ({ ...config, materials: config.materials.filter((one) => one.name !== material.name) }));
  return html`<${Choice} label="Which" value=${material.name} onChange=${setName} options=${tables.materials.map((one) => [one.name, one.name])} />
    <dl class="values" data-material=${material.name}>${rows(material)}</dl>
    ${material.note && html`<p class="soft">${material.note}</p>`}
    ${own && html`<${SendForm} key=${`remove ${material.name}`} button="Take your own entry out" send=${remove} done=${reload} />`}
    <details>
      <summary>Change these, or enter a material of your own</summary>
      <${MaterialForm} key=${`${material.name} ${own}`} material=${material} reload=${reload} chosen=${setName} />
    </details>`;
}

/** @param {Material} material */
function rows(material) {
  const range = (/** @type {SpeedRange} */ { low_m_min, high_m_min }) => `${low_m_min} to ${high_m_min} m/min`;
  return [
    ...VALUES.map(({ name, label, unit }) => value(name, label, `${material[name].value} ${unit}`, material[name].source)),
    ...SPEEDS.map(({ name, label }) => value(name, label, range(material[name]), material[name].source)),
    value("feed", "Feed for roughing by hand", `${material.feed_low_mm_rev} to ${material.feed_high_mm_rev} mm a turn`, material.feed_source),
  ];
}

/** @param {string} name @param {string} label @param {string} text @param {string} source */
function value(name, label, text, source) {
  return html`<div data-value=${name}><dt>${label}</dt><dd>${text}</dd>
    <dd><details class="source"><summary>Where from?</summary><p>${source}</p></details></dd></div>`;
}

/** @param {Material} material @returns {Record<string, string>} */
function textsOf(material) {
  /** @type {Record<string, string>} */
  const texts = { name: material.name, note: material.note, feed_low: String(material.feed_low_mm_rev), feed_high: String(material.feed_high_mm_rev), feed_source: material.feed_source };
  for (const { name } of VALUES) Object.assign(texts, { [name]: String(material[name].value), [`${name}.source`]: material[name].source });
  for (const { name } of SPEEDS) {
    const { low_m_min, high_m_min, source } = material[name];
    Object.assign(texts, { [`${name}.low`]: String(low_m_min), [`${name}.high`]: String(high_m_min), [`${name}.source`]: source });
  }
  return texts;
}

/** @param {Record<string, string>} texts @returns {Material} */
function read(texts) {
  const sourced = VALUES.map(({ name, label }) => [name, { value: readNumber(label, texts[name]), source: texts[`${name}.source`] }]);
  const ranges = SPEEDS.map(({ name, label }) => [
    name, { low_m_min: readNumber(label, texts[`${name}.low`]), high_m_min: readNumber(label, texts[`${name}.high`]), source: texts[`${name}.source`] },
  ]);
  return /** @type {Material} */ ({
    name: texts.name.trim(),
    ...Object.fromEntries([...sourced, ...ranges]),
    feed_low_mm_rev: readNumber("Least feed", texts.feed_low),
    feed_high_mm_rev: readNumber("Largest feed", texts.feed_high),
    feed_source: texts.feed_source,
    note: texts.note,
  });
}

/** @param {{ material: Material, reload: () => void, chosen: (name: string) => void }} inputs */
function MaterialForm({ material, reload, chosen }) {
  const { values, change } = useFields(textsOf(material));
  const send = async () => {
    const next = read(values);
    const answer = await changeConfig((config) => ({ ...config, materials: [next, ...config.materials.filter(({ name }) => name !== next.name)] }));
    if (!answer) chosen(next.name);
    return answer;
  };
  const source = (/** @type {string} */ name) => html`<${Field} kind="text" label="where from" value=${values[name]} onInput=${change(name)} />`;
  const number = (/** @type {string} */ name, /** @type {string} */ label, /** @type {string} */ unit) => html`<${Field} label=${label} unit=${unit} value=${values[name]} onInput=${change(name)} />`;
  return html`<${SendForm} button="Keep as your own" send=${send} done=${reload}>
    <${Field} kind="text" label="Name" hint="another name makes another material" value=${values.name} onInput=${change("name")} />
    <div class="fields">
      ${VALUES.map(({ name, label, unit }) => html`${number(name, label, unit)}${source(`${name}.source`)}`)}
      ${SPEEDS.map(({ name, label }) => html`${number(`${name}.low`, `${label}, from`, "m/min")}${number(`${name}.high`, `${label}, to`, "m/min")}${source(`${name}.source`)}`)}
      ${number("feed_low", "Least feed", "mm a turn")}${number("feed_high", "Largest feed", "mm a turn")}${source("feed_source")}
    </div>
    <${Field} kind="text" label="What to mind" value=${values.note} onInput=${change("note")} />
  </${SendForm}>`;
}
