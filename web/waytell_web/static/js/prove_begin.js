/**
 * The few things a check asks before it begins. What was entered the last time stands there again.
 *
 * @typedef {import("./prove_types").Check} Check
 * @typedef {import("./prove_types").Inputs} Inputs
 * @typedef {import("./prove_types").Kind} Kind
 * @typedef {import("./prove_types").ReferenceKind} ReferenceKind
 * @typedef {import("./types").Slide} Slide
 * @typedef {import("./types").Units} Units
 * @typedef {Record<"length" | "reference" | "grade" | "u" | "micrometer" | "temperature" | "u_c" | "expansion", string>} Texts
 */

import { html, useEffect, useState } from "../vendor/htm-preact-3.1.1.module.js";
import { get } from "./acts.js";
import { Choice, Field, LengthField, readLength, readNumber, useFields } from "./fields.js";
import { fieldText, smallShown, smallUnit } from "./figures.js";
import { SendForm } from "./form.js";
import { CHECKS } from "./prove_checks.js";
import { REFERENCES } from "./prove_words.js";

const MM_PER_INCH = 25.4;
/** @type {Kind[]} */
const COMPARES = ["distance", "map", "positioning"];

/** The texts of the form, from the check that was begun last. @param {Kind} kind @param {Check | undefined} last @param {Units} units @returns {Texts} */
export function textsOf(kind, last, units) {
  const { length_mm, reference, u_um = 4, temperature_c, u_c = 1, work_expansion_um_m_k = 11.5 } = last ?? /** @type {Partial<Check>} */ ({});
  const small = (/** @type {number} */ um) => String(Number(smallShown(units, um / 1000).toFixed(3)));
  return {
    length: fieldText(length_mm ?? (kind === "distance" ? 20 : 100), "slide", units),
    reference: reference?.kind ?? (kind === "positioning" ? "dial" : "gauge_block"),
    grade: String(reference?.grade ?? 2),
    u: small(reference?.u_um ?? 0),
    micrometer: small(u_um),
    temperature: temperature_c === undefined ? "" : String(temperature_c),
    u_c: String(u_c),
    expansion: String(work_expansion_um_m_k),
  };
}

/** The check as it is sent. @param {Kind} kind @param {string} variant @param {Texts} texts @param {Units} units @returns {Check} */
export function checkOf(kind, variant, texts, units) {
  const small = (/** @type {string} */ label, /** @type {string} */ text) => readNumber(label, text) * (units.length === "inch" ? MM_PER_INCH : 1);
  const length_mm = () => readLength("Length", texts.length, "slide", units);
  const slide = /** @type {Slide} */ (variant);
  const reference = () => ({
    kind: /** @type {ReferenceKind} */ (texts.reference),
    grade: /** @type {0 | 1 | 2} */ (Number(texts.grade)),
    u_um: small("May be off by", texts.u),
  });
  /** @type {Record<Kind, () => Omit<Check, "kind">>} */
  const fields = {
    link: () => ({}),
    slide: () => ({ slide }),
    rest: () => ({ motor: variant === "on" ? "on" : "off" }),
    winding: () => ({ slide }),
    distance: () => ({ slide, length_mm: length_mm(), reference: reference() }),
    map: () => ({ slide, reference: reference() }),
    positioning: () => ({ slide, reference: reference() }),
    disc: () => ({}),
    collars: () => ({ u_um: small("The micrometer may be off by", texts.micrometer) }),
    temperature: () => ({
      slide, length_mm: length_mm(), temperature_c: readNumber("Temperature", texts.temperature),
      u_c: readNumber("The thermometer may be off by", texts.u_c), work_expansion_um_m_k: readNumber("Expansion of the work", texts.expansion),
    }),
  };
  return { kind, ...fields[kind]() };
}

/** @param {Inputs & { kind: Kind, variant: string, last: Check | undefined, again: boolean }} inputs */
export function BeginForm({ seen, deeds, kind, variant, last, again }) {
  const { units } = seen.state;
  const { values, change } = useFields(textsOf(kind, last, units));
  const other = seen.proving.check;
  const send = async () => deeds.begin(checkOf(kind, variant, values, units));
  return html`<${SendForm} button=${again ? "Begin again" : "Begin"} send=${send}>
    <p class="ready"><b>Have ready:</b> ${CHECKS[kind].ready}</p>
    ${kind === "distance" && html`<div class="fields"><${LengthField} label="Length" along="slide" units=${units} value=${values.length} onInput=${change("length")} /></div>`}
    ${COMPARES.includes(kind) && html`<${ReferenceFields} values=${values} change=${change} units=${units} />`}
    ${kind === "collars" && html`<div class="fields"><${Field} label="The micrometer may be off by" unit=${`\u00b1 ${smallUnit(units)}`} value=${values.micrometer} onInput=${change("micrometer")} hint="95 of 100 times" /></div>`}
    ${kind === "temperature" && html`<${TemperatureFields} values=${values} change=${change} units=${units} />`}
    ${other && html`<p class="warns">The check under way (${CHECKS[other.check.kind].words.toLowerCase()}) is given up when this one begins.</p>`}
  </${SendForm}>`;
}

/** @typedef {{ values: Texts, change: (name: keyof Texts) => (text: string) => void, units: Units }} FieldsInputs */

/** @param {FieldsInputs} inputs */
function ReferenceFields({ values, change, units }) {
  return html`<${Choice} label="Compared with" value=${values.reference} onChange=${change("reference")} options=${Object.entries(REFERENCES)} />
    ${values.reference === "gauge_block" && html`<${Choice} label="Grade of the blocks (ISO 3650)" value=${values.grade} onChange=${change("grade")} options=${["0", "1", "2"].map((one) => [one, one])} />`}
    <div class="fields"><${Field} label="May be off by" unit=${`\u00b1 ${smallUnit(units)}`} value=${values.u} onInput=${change("u")} hint="95 of 100 times; 0: as usual for its kind" /></div>`;
}

/** @param {FieldsInputs} inputs */
function TemperatureFields({ values, change, units }) {
  const [materials, setMaterials] = useState(/** @type {import("./types").Material[]} */ ([]));
  const [chosen, setChosen] = useState("");
  useEffect(() => {
    get("api/plan/tables").then((tables) => setMaterials(tables?.materials ?? []));
  }, []);
  const choose = (/** @type {string} */ wanted) => {
    const material = materials.find(({ name }) => name === wanted);
    setChosen(wanted);
    if (material) change("expansion")(String(material.expansion_um_m_k.value));
  };
  return html`<div class="fields">
      <${Field} label="Temperature" unit="\u00b0C" value=${values.temperature} onInput=${change("temperature")} />
      <${Field} label="The thermometer may be off by" unit="\u00b1 \u00b0C" value=${values.u_c} onInput=${change("u_c")} />
      <${LengthField} label="Told over a length of" along="slide" units=${units} value=${values.length} onInput=${change("length")} />
      <${Field} label="Expansion of the work" unit="\u00b5m/(m K)" value=${values.expansion} onInput=${change("expansion")} />
    </div>
    ${materials.length > 0 && html`<${Choice} label="The work is of" value=${chosen} onChange=${choose} options=${materials.map(({ name }) => [name, name])} />`}`;
}
