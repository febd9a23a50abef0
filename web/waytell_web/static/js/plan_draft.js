/**
 * A part as it is typed, and the document that it becomes. What was typed stays text until it is read. Pure.
 *
 * On a drawing a diameter is a diameter, however the display shows X: only inches are converted here.
 *
 * @typedef {import("./plan_types").Dimension} Dimension
 * @typedef {import("./plan_types").Draft} Draft
 * @typedef {import("./plan_types").Feature} Feature
 * @typedef {import("./plan_types").FeatureDraft} FeatureDraft
 * @typedef {import("./plan_types").Part} Part
 * @typedef {import("./plan_features.js").Asked} Asked
 * @typedef {import("./types").Units} Units
 */

import { Mistyped, readLength } from "./fields.js";
import { fieldText } from "./figures.js";
import { askedOf, FEATURES, isComplete } from "./plan_features.js";

/** Half of the last digit of an inch that a field shows, in mm. */
const INCH_DIGIT_MM = 0.00013;

/** @returns {Draft} */
export function emptyDraft() {
  const texts = { name: "", note: "", material: "", general: "m", diameter: "", bore: "0", out1: "", sawn1: "1", tail1: "", twice: "", out2: "", sawn2: "1", tail2: "" };
  return { texts, features: [] };
}

/** @param {string} label @param {string} text @param {Units} units */
function length(label, text, units) {
  const mm = readLength(label, text, "slide", units);
  // The digits of an inch cannot tell 18 mm from 17.9999 mm: the round one was meant.
  const round = Math.round(mm * 100) / 100;
  return units.length === "inch" && Math.abs(mm - round) < INCH_DIGIT_MM ? round : mm;
}

/** The document, of all features or of the complete ones. @param {Draft} draft @param {Units} units @param {FeatureDraft[]} [features] @returns {Part} @throws {Mistyped} */
export function partOf({ texts, features: all }, units, features = all) {
  const out = "Length out of the chuck";
  const held = (/** @type {string} */ n) => ({
    out_mm: length(out, texts[`out${n}`], units),
    sawn_mm: length("Left for facing", texts[`sawn${n}`], units),
    tailstock: texts[`tail${n}`] === "yes",
  });
  return {
    format: "waytell-part",
    version: 1,
    name: told("Name", texts.name),
    note: texts.note.trim(),
    material: told("Material", texts.material),
    general_tolerance: /** @type {Part["general_tolerance"]} */ (texts.general),
    bar: { diameter_mm: length("Diameter of the bar", texts.diameter, units), bore_mm: length("Bore of the bar", texts.bore, units) },
    set_ups: texts.twice === "yes" ? [held("1"), held("2")] : [held("1")],
    features: features.map((feature) => featureOf(feature, units)),
  };
}

/** @param {string} label @param {string} text */
function told(label, text) {
  if (text.trim() === "") throw new Mistyped(label, text);
  return text.trim();
}

/** What can be tried while the rest is still being typed: without features that lack something. @param {Draft} draft @param {Units} units */
export function toTry(draft, units) {
  const twice = draft.texts.twice === "yes";
  const complete = draft.features.filter((feature) => isComplete(feature) && (twice || feature.texts.set_up === "1"));
  const named = { ...draft, texts: { ...draft.texts, name: draft.texts.name.trim() || "part" } };
  return { part: partOf(named, units, complete), keys: complete.map(({ key }) => key) };
}

/** The questions before the features are answered. @param {Draft} draft */
export function isBegun({ texts }) {
  return [texts.material, texts.diameter, texts.out1, texts.sawn1].every((text) => text.trim() !== "");
}

/** @param {FeatureDraft} feature @param {Units} units @returns {Feature} */
function featureOf(feature, units) {
  const { kind, texts } = feature;
  /** @type {Feature} */
  const made = { kind, set_up: texts.set_up === "2" ? 2 : 1 };
  if (FEATURES[kind].side) made.where = texts.where;
  for (const asked of FEATURES[kind].asked) {
    const { name, second, limits } = asked;
    if (second && (!askedOf(feature).includes(asked) || texts[name].trim() === "")) made[name] = null;
    else made[name] = limits ? sizeOf(asked, texts, units) : length(asked.label, texts[name], units);
  }
  return made;
}

/** @param {Asked} asked @param {Record<string, string>} texts @param {Units} units @returns {Dimension} */
function sizeOf({ name, label }, texts, units) {
  const how = texts[`${name}.how`];
  const deviation = (/** @type {string} */ side) => (how === "numbers" ? length(`${label}, ${side} deviation`, texts[`${name}.${side}`] ?? "", units) : null);
  return {
    mm: length(label, texts[name], units),
    tolerance_class: how === "class" ? told(`${label}, class`, texts[`${name}.class`] ?? "") : null,
    upper_mm: deviation("upper"),
    lower_mm: deviation("lower"),
  };
}

// -- from the document --------------------------------------------------------------------------------------------------

/** @param {Part} part @param {Units} units @returns {Draft} */
export function draftOf(part, units) {
  const text = (/** @type {number} */ mm) => fieldText(mm, "slide", units);
  const [first, second = { out_mm: null, sawn_mm: 1, tailstock: false }] = part.set_ups;
  return {
    texts: {
      name: part.name, note: part.note, material: part.material, general: part.general_tolerance,
      diameter: text(part.bar.diameter_mm), bore: text(part.bar.bore_mm),
      out1: text(first.out_mm), sawn1: text(first.sawn_mm), tail1: first.tailstock ? "yes" : "",
      twice: part.set_ups.length > 1 ? "yes" : "",
      out2: second.out_mm === null ? "" : text(second.out_mm), sawn2: text(second.sawn_mm), tail2: second.tailstock ? "yes" : "",
    },
    features: part.features.map((feature, n) => featureDraft(feature, n + 1, text)),
  };
}

/** @param {Feature} feature @param {number} key @param {(mm: number) => string} text @returns {FeatureDraft} */
function featureDraft(feature, key, text) {
  const { kind, set_up } = feature;
  /** @type {Record<string, string>} */
  const texts = { set_up: String(set_up), where: String(feature.where ?? "outside") };
  for (const { name, limits } of FEATURES[kind].asked) {
    if (limits) Object.assign(texts, sizeTexts(name, /** @type {Dimension | null} */ (feature[name] ?? null), text));
    else texts[name] = text(/** @type {number} */ (feature[name]));
  }
  return { key, kind, texts };
}

/** @param {string} name @param {Dimension | null} size @param {(mm: number) => string} text @returns {Record<string, string>} */
function sizeTexts(name, size, text) {
  if (!size) return { [name]: "", [`${name}.how`]: "general" };
  const { mm, tolerance_class, upper_mm, lower_mm } = size;
  if (tolerance_class) return { [name]: text(mm), [`${name}.how`]: "class", [`${name}.class`]: tolerance_class };
  if (upper_mm === null || lower_mm === null) return { [name]: text(mm), [`${name}.how`]: "general" };
  return { [name]: text(mm), [`${name}.how`]: "numbers", [`${name}.upper`]: text(upper_mm), [`${name}.lower`]: text(lower_mm) };
}

/** Whether a draft says the same as a stored part. @param {Draft} draft @param {Part | null} part @param {Units} units */
export function says(draft, part, units) {
  if (!part) return false;
  try {
    return JSON.stringify(partOf(draft, units)) === JSON.stringify(partOf(draftOf(part, units), units));
  } catch {
    return false;
  }
}
