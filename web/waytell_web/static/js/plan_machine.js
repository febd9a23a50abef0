/**
 * What the lathe can do, as far as plans need it.
 *
 * @typedef {import("./plan_types").Tables} Tables
 * @typedef {import("./types").Machine} Machine
 * @typedef {import("./types").Units} Units
 */

import { html } from "../vendor/htm-preact-3.1.1.module.js";
import { changeConfig } from "./config_form.js";
import { Field, LengthField, readLength, readNumber, useFields } from "./fields.js";
import { fieldText } from "./figures.js";
import { SendForm } from "./form.js";

const PERCENT = 100;

/** Lengths are in the person's units, the rest as it says. @type {{ name: keyof Machine, label: string, unit?: string, hint?: string }[]} */
const ASKED = [
  { name: "spindle_max_rpm", label: "Highest spindle speed", unit: "turns a minute" },
  { name: "spindle_min_rpm", label: "Lowest spindle speed", unit: "turns a minute" },
  { name: "motor_power_w", label: "Power of the motor", unit: "W" },
  { name: "efficiency", label: "Share of it that reaches the edge", unit: "%" },
  { name: "deepest_pass_mm", label: "Deepest pass you want to take", hint: "as a radius or a length" },
  { name: "chuck_diameter_mm", label: "Diameter of the chuck" },
  { name: "swing_mm", label: "Largest diameter that turns over the bed" },
  { name: "cross_travel_mm", label: "Travel of the cross-slide" },
  { name: "carriage_travel_mm", label: "Travel of the carriage" },
];

/** @param {{ tables: Tables, units: Units, reload: () => void }} inputs */
export function MachineTable({ tables, units, reload }) {
  const { machine } = tables.config;
  const { values, change } = useFields(textsOf(machine, units));
  const send = async () => {
    const next = read(values, units);
    return changeConfig((config) => ({ ...config, machine: { ...config.machine, ...next } }));
  };
  return html`<${SendForm} button="Keep these" send=${send} done=${reload}>
    <div class="fields">
      <${Field} label="Highest speed marked on the chuck" unit="turns a minute" hint="empty where none is marked" value=${values.chuck} onInput=${change("chuck")} />
      <${Field} kind="text" label="Speeds of belts or gears" unit="turns a minute" hint="each of them, with spaces between; empty where the speed is set freely" value=${values.speeds} onInput=${change("speeds")} />
      ${ASKED.map(({ name, label, unit, hint }) => (unit
        ? html`<${Field} label=${label} unit=${unit} hint=${hint ?? ""} value=${values[name]} onInput=${change(name)} />`
        : html`<${LengthField} label=${label} along="slide" units=${units} hint=${hint ?? ""} value=${values[name]} onInput=${change(name)} />`))}
    </div>
  </${SendForm}>`;
}

/** @param {Machine} machine @param {Units} units @returns {Record<string, string>} */
function textsOf(machine, units) {
  const text = (/** @type {keyof Machine} */ name) => {
    const value = Number(machine[name]);
    if (name === "efficiency") return String(Number((value * PERCENT).toFixed(4)));
    return name.endsWith("_mm") ? fieldText(value, "slide", units) : String(value);
  };
  return {
    chuck: machine.chuck_max_rpm === null ? "" : String(machine.chuck_max_rpm),
    speeds: machine.speeds_rpm.join(" "),
    ...Object.fromEntries(ASKED.map(({ name }) => [name, text(name)])),
  };
}

/** @param {Record<string, string>} values @param {Units} units @returns {Partial<Machine>} */
function read(values, units) {
  const value = (/** @type {typeof ASKED[number]} */ { name, label, unit }) => {
    if (!unit) return readLength(label, values[name], "slide", units);
    return readNumber(label, values[name]) / (name === "efficiency" ? PERCENT : 1);
  };
  return {
    ...Object.fromEntries(ASKED.map((one) => [one.name, value(one)])),
    chuck_max_rpm: values.chuck.trim() === "" ? null : readNumber("Highest speed marked on the chuck", values.chuck),
    speeds_rpm: values.speeds.split(/[\s;]+/).filter(Boolean).map((text) => readNumber("Speeds of belts or gears", text)),
  };
}
