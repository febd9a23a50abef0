/**
 * The part, one question at a time: each question is a row that says what was answered, and opens to be answered.
 *
 * @typedef {import("./plan_types").Deeds} Deeds
 * @typedef {import("./plan_types").Draft} Draft
 * @typedef {import("./plan_types").FeatureKind} FeatureKind
 * @typedef {import("./plan_types").Seen} Seen
 * @typedef {{ seen: Seen, deeds: Deeds }} Inputs
 */

import { html } from "../vendor/htm-preact-3.1.1.module.js";
import { Choice, Field, LengthField, RefusalWords, Tick } from "./fields.js";
import { unitWord } from "./figures.js";
import { featureRows } from "./plan_feature_form.js";
import { FEATURES, newFeature } from "./plan_features.js";

/** @type {[string, string][]} */
const CLASSES = [["f", "fine"], ["m", "medium"], ["c", "coarse"], ["v", "very coarse"]];

/**
 * @typedef {object} Question
 * @property {string} name
 * @property {string} asks
 * @property {(draft: Draft, unit: string) => string} says    what stands on the row; empty while it is not answered
 * @property {(inputs: Inputs) => unknown} form
 */

/** @type {Question[]} */
const BEFORE = [
  { name: "name", asks: "Name of the part", says: ({ texts }) => texts.name, form: nameForm },
  { name: "material", asks: "Material", says: ({ texts }) => texts.material, form: materialForm },
  { name: "bar", asks: "Bar", says: barWords, form: barForm },
  { name: "held", asks: "In the chuck", says: (draft, unit) => heldWords(draft, unit, "1"), form: (inputs) => heldForm(inputs, "1") },
];

/** @type {Question[]} */
const AFTER = [
  { name: "twice", asks: "Turned round", says: (draft, unit) => (draft.texts.twice ? heldWords(draft, unit, "2") : "no"), form: twiceForm },
  {
    name: "general", asks: "Sizes without limits", form: generalForm,
    says: ({ texts }) => `${CLASSES.find(([key]) => key === texts.general)?.[1]}, ISO 2768-1`,
  },
];

/** The first question without an answer, else the one that adds features. @param {Draft} draft */
export function firstOpen(draft) {
  return BEFORE.find(({ says }) => says(draft, "") === "")?.name ?? (draft.features.length ? "" : "add");
}

/** @param {Inputs} inputs */
export function partForm(inputs) {
  const { seen } = inputs;
  return html`<section class="part-form" aria-label="The part">
    <header class="part-head"><h2>The part</h2>${typingButtons(inputs)}</header>
    <${RefusalWords} refusal=${seen.refusal} />
    <ol class="questions">
      ${BEFORE.map((question) => row(inputs, question))}
      ${featureRows(inputs)}
      ${row(inputs, { name: "add", asks: "Add a feature", says: () => "", form: addForm })}
      ${AFTER.map((question) => row(inputs, question))}
    </ol>
  </section>`;
}

/** @param {Inputs} inputs */
function typingButtons({ seen, deeds }) {
  const { past, future } = seen.history;
  return html`<div class="typing">
    <button type="button" data-deed="undo" disabled=${past.length === 0} onClick=${deeds.undo}>Undo <kbd>Ctrl Z</kbd></button>
    <button type="button" data-deed="redo" disabled=${future.length === 0} onClick=${deeds.redo}>Redo <kbd>Ctrl Y</kbd></button>
  </div>`;
}

/** @param {Inputs} inputs @param {Question} question */
function row(inputs, { name, asks, says, form }) {
  const { seen, deeds } = inputs;
  const open = seen.open === name;
  const answer = says(seen.history.now, unitWord(seen.state.units));
  return html`<li key=${name} class="question" data-question=${name}>
    <button type="button" class="question-row" aria-expanded=${open} onClick=${() => deeds.see({ open: open ? "" : name })}>
      <span class="asks">${asks}</span><b>${answer || (open || name === "add" ? "" : "\u2026")}</b>
    </button>
    ${open && html`<form class="answer" novalidate onSubmit=${(/** @type {Event} */ event) => goOn(event, inputs, name)}>
      ${form(inputs)}
      ${name !== "add" && html`<button type="submit" class="main">Next</button>`}
    </form>`}
  </li>`;
}

/** @param {Event} event @param {Inputs} inputs @param {string} name */
function goOn(event, { deeds }, name) {
  event.preventDefault();
  const order = [...BEFORE.map((one) => one.name), "add", ...AFTER.map((one) => one.name), ""];
  deeds.see({ open: order[order.indexOf(name) + 1] });
}

/** Texts of the part, and a way to change each. @param {Inputs} inputs */
function textsOf({ seen, deeds }) {
  const { texts } = seen.history.now;
  const change = (/** @type {string} */ name) => (/** @type {string} */ text) =>
    deeds.type(name, (draft) => ({ ...draft, texts: { ...draft.texts, [name]: text } }));
  return { texts, change, line: { along: "slide", units: seen.state.units } };
}

/** @param {Inputs} inputs */
function nameForm(inputs) {
  const { texts, change } = textsOf(inputs);
  return html`<${Field} kind="text" first label="Name" value=${texts.name} onInput=${change("name")} />
    <${Field} kind="text" label="Note" value=${texts.note} onInput=${change("note")} />`;
}

/** @param {Inputs} inputs */
function materialForm(inputs) {
  const { texts, change } = textsOf(inputs);
  const names = (inputs.seen.tables?.materials ?? []).map(({ name }) => name);
  return html`<${Choice} label="What the bar is made of" value=${texts.material} onChange=${change("material")} options=${names.map((name) => [name, name])} />`;
}

/** @param {Draft} draft @param {string} unit */
function barWords({ texts }, unit) {
  if (texts.diameter.trim() === "") return "";
  const bore = Number(texts.bore.replace(",", ".")) > 0 ? `, bore ${texts.bore}` : "";
  return `\u2300\u00a0${texts.diameter}${bore} ${unit}`;
}

/** @param {Inputs} inputs */
function barForm(inputs) {
  const { texts, change, line } = textsOf(inputs);
  return html`<${LengthField} ...${line} first label="Diameter of the bar" value=${texts.diameter} onInput=${change("diameter")} />
    <${LengthField} ...${line} label="Bore of the bar" hint="0 for solid" value=${texts.bore} onInput=${change("bore")} />`;
}

/** @param {Draft} draft @param {string} unit @param {string} n */
function heldWords({ texts }, unit, n) {
  if (texts[`out${n}`].trim() === "") return "";
  return `${texts[`out${n}`]} ${unit} out${texts[`tail${n}`] ? ", centre in the tailstock" : ""}`;
}

/** @param {Inputs} inputs @param {string} n which set-up */
function heldForm(inputs, n) {
  const { texts, change, line } = textsOf(inputs);
  return html`<${LengthField} ...${line} first=${n === "1"} label="Length out of the chuck" hint="from the finished face to the jaws" value=${texts[`out${n}`]} onInput=${change(`out${n}`)} />
    <${LengthField} ...${line} label="Left for facing" hint="how far the sawn end stands in front" value=${texts[`sawn${n}`]} onInput=${change(`sawn${n}`)} />
    <${Tick} label="A centre in the tailstock holds the free end" checked=${texts[`tail${n}`] === "yes"} onChange=${(/** @type {boolean} */ on) => change(`tail${n}`)(on ? "yes" : "")} />`;
}

/** @param {Inputs} inputs */
function twiceForm(inputs) {
  const { texts, change } = textsOf(inputs);
  return html`<${Choice} label="Is the part turned round in the chuck to work on its other end?" value=${texts.twice} onChange=${change("twice")} options=${[["", "no"], ["yes", "yes"]]} />
    ${texts.twice && heldForm(inputs, "2")}`;
}

/** @param {Inputs} inputs */
function generalForm(inputs) {
  const { texts, change } = textsOf(inputs);
  return html`<${Choice} label="Limits where the drawing gives none (ISO 2768-1)" value=${texts.general} onChange=${change("general")} options=${CLASSES} />`;
}

/** @param {Inputs} inputs */
function addForm({ seen, deeds }) {
  const { features, texts } = seen.history.now;
  const add = (/** @type {FeatureKind} */ kind) => {
    const key = Math.max(0, ...features.map((one) => one.key)) + 1;
    const set_up = texts.twice && seen.setUp === 2 ? "2" : "1";
    deeds.type("", (draft) => ({ ...draft, features: [...draft.features, newFeature(kind, key, set_up)] }));
    deeds.see({ open: `feature ${key}` });
  };
  const kinds = /** @type {FeatureKind[]} */ (Object.keys(FEATURES));
  return html`<div class="kinds">${kinds.map((kind) => html`<button type="button" data-add=${kind} onClick=${() => add(kind)}>${FEATURES[kind].words}</button>`)}</div>`;
}
