/**
 * Features of the part, one a row: told from the drawing, moved, taken out.
 *
 * @typedef {import("./plan_types").FeatureDraft} FeatureDraft
 * @typedef {import("./plan_features.js").Asked} Asked
 * @typedef {import("./plan_questions.js").Inputs} Inputs
 */

import { html } from "../vendor/htm-preact-3.1.1.module.js";
import { Choice, Field, LengthField } from "./fields.js";
import { unitWord } from "./figures.js";
import { askedOf, FEATURES, featureWords, isComplete } from "./plan_features.js";

/** @type {[string, string][]} */
const HOW = [["general", "none given"], ["class", "a class, such as h8"], ["numbers", "two deviations"]];

/** @param {Inputs} inputs */
export function featureRows(inputs) {
  return inputs.seen.history.now.features.map((feature, n) => row(inputs, feature, n));
}

/** @param {Inputs} inputs @param {FeatureDraft} feature @param {number} n */
function row(inputs, feature, n) {
  const { seen, deeds } = inputs;
  const name = `feature ${feature.key}`;
  const open = seen.open === name;
  const complete = isComplete(feature);
  const shown = () => deeds.see({ open: open ? "" : name, step: null, setUp: feature.texts.set_up === "2" ? 2 : 1 });
  return html`<li key=${name} class="question feature" data-feature=${n + 1} data-kind=${feature.kind}>
    <button type="button" class="question-row" aria-expanded=${open} onClick=${shown}>
      <span class="number">${n + 1}</span>
      <span class="asks">${FEATURES[feature.kind].words}${feature.texts.set_up === "2" ? ", turned round" : ""}</span>
      <b>${complete ? featureWords(feature) : "\u2026"}</b>
    </button>
    ${open && html`<form class="answer" novalidate onSubmit=${(/** @type {Event} */ event) => { event.preventDefault(); deeds.see({ open: "add" }); }}>
      ${form(inputs, feature)}
      <div class="form-buttons">
        <button type="submit" class="main">Next</button>
        <button type="button" data-move="up" disabled=${n === 0} onClick=${() => move(inputs, n, -1)}>Earlier</button>
        <button type="button" data-move="down" disabled=${n === seen.history.now.features.length - 1} onClick=${() => move(inputs, n, 1)}>Later</button>
        <button type="button" data-remove onClick=${() => takeOut(inputs, feature)}>Take out</button>
      </div>
    </form>`}
  </li>`;
}

/** @param {Inputs} inputs @param {number} n @param {-1 | 1} by */
function move({ deeds }, n, by) {
  deeds.type("", (draft) => {
    const features = [...draft.features];
    [features[n], features[n + by]] = [features[n + by], features[n]];
    return { ...draft, features };
  });
}

/** @param {Inputs} inputs @param {FeatureDraft} feature */
function takeOut({ deeds }, { key }) {
  deeds.type("", (draft) => ({ ...draft, features: draft.features.filter((one) => one.key !== key) }));
  deeds.see({ open: "" });
}

/** @param {Inputs} inputs @param {FeatureDraft} feature */
function form({ seen, deeds }, feature) {
  const change = (/** @type {string} */ name) => (/** @type {string} */ text) =>
    deeds.type(`${feature.key} ${name}`, (draft) => ({
      ...draft,
      features: draft.features.map((one) => (one.key === feature.key ? { ...one, texts: { ...one.texts, [name]: text } } : one)),
    }));
  const asked = askedOf(feature);
  return html`${seen.history.now.texts.twice && html`<${Choice} label="Made" value=${feature.texts.set_up} onChange=${change("set_up")} options=${[["1", "in the first set-up"], ["2", "turned round"]]} />`}
    ${FEATURES[feature.kind].side && html`<${Choice} label="Where" value=${feature.texts.where} onChange=${change("where")} options=${[["outside", "outside"], ["inside", "inside"]]} />`}
    ${asked.map((one, n) => size(one, feature, change, seen.state.units, n === 0))}
    ${asked.length === 0 && html`<p class="soft">The reference for all lengths: nothing else is asked.</p>`}`;
}

/** @param {Asked} asked @param {FeatureDraft} feature @param {(name: string) => (text: string) => void} change @param {import("./types").Units} units @param {boolean} first */
function size({ name, label, of, limits, hint = "" }, { texts }, change, units, first) {
  const how = texts[`${name}.how`];
  const field = html`<${LengthField} label=${`${of === "diameter" ? "\u2300 " : ""}${label}`} along="slide" units=${units} first=${first} hint=${hint} value=${texts[name]} onInput=${change(name)} />`;
  if (!limits) return field;
  const options = of === "diameter" ? HOW : HOW.filter(([key]) => key !== "class");
  const text = (/** @type {string} */ part) => texts[`${name}.${part}`] ?? "";
  return html`${field}
    <${Choice} label="Its limits" value=${how} onChange=${change(`${name}.how`)} options=${options} />
    ${how === "class" && html`<${Field} kind="text" label="Tolerance class (ISO 286)" value=${text("class")} onInput=${change(`${name}.class`)} />`}
    ${how === "numbers" && html`<div class="two">
      <${Field} kind="text" label="Upper deviation" unit=${unitWord(units)} value=${text("upper")} onInput=${change(`${name}.upper`)} />
      <${Field} kind="text" label="Lower deviation" unit=${unitWord(units)} value=${text("lower")} onInput=${change(`${name}.lower`)} />
    </div>`}`;
}
