/**
 * The words and numbers of the Prove page. Pure.
 *
 * @typedef {import("./prove_types").AxisBudget} AxisBudget
 * @typedef {import("./prove_types").Captured} Captured
 * @typedef {import("./prove_types").Check} Check
 * @typedef {import("./prove_types").Quantity} Quantity
 * @typedef {import("./prove_types").QuantityUnit} QuantityUnit
 * @typedef {import("./prove_types").Reference} Reference
 * @typedef {import("./types").LiveState} LiveState
 * @typedef {import("./types").Slide} Slide
 * @typedef {import("./types").Units} Units
 */

import { axisSign, decimalsOf, lengthText, numberText, smallText, uText, unitPhrase, unitWord } from "./figures.js";

const MM_PER_INCH = 25.4;
const DAY_MS = 86_400_000;
const MONTHS = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

/** @type {Record<Slide, string>} */
export const SLIDES = { cross: "cross-slide", carriage: "carriage", compound: "compound slide", tailstock: "tailstock quill" };

/** @type {Record<Reference["kind"], string>} */
export const REFERENCES = { gauge_block: "gauge block", dial: "dial indicator", setting_bar: "setting bar", other: "something else" };

/** @param {Reference} reference @param {Units} units */
export function referenceWords({ kind, grade, u_um }, units) {
  const name = kind === "gauge_block" ? `gauge block, grade ${grade}` : REFERENCES[kind];
  return u_um > 0 ? `${name}, \u00b1 ${smallText(units, u_um / 1000)}` : name;
}

/** What was entered as a check began, in one line. @param {Check} check @param {Units} units */
export function askedWords(check, units) {
  const { length_mm, reference, motor, temperature_c, u_um } = check;
  return [
    motor && `motor ${motor}`,
    temperature_c === undefined && length_mm !== undefined && plainLength(length_mm, units),
    reference && referenceWords(reference, units),
    temperature_c !== undefined && `${temperature_c} \u00b0C`,
    u_um !== undefined && `micrometer \u00b1 ${smallText(units, u_um / 1000)}`,
  ].filter(Boolean).join(", ");
}

/** A length as it was entered, without idle noughts. @param {number} mm @param {Units} units */
function plainLength(mm, units) {
  const value = Number((units.length === "inch" ? mm / MM_PER_INCH : mm).toFixed(5));
  return `${value} ${unitWord(units)}`;
}

/** A place along a slide, as fine as anything here is told. @param {number} mm @param {Units} units */
export function fineText(mm, units) {
  return lengthText(mm, "slide", units, units.length === "inch" ? 4 : 3);
}

// -- captures -------------------------------------------------------------------------------------------------------------

/** By number: how much more was shown than said, in mm, since the first capture that counts. @param {Captured[]} captures @returns {Map<number, number>} */
export function deviations(captures) {
  const first = captures.find((one) => !one.left_out && one.says_mm !== null && one.shown_mm !== null);
  /** @type {Map<number, number>} */
  const out = new Map();
  for (const { number, says_mm, shown_mm } of captures) {
    if (!first || says_mm === null || shown_mm === null) continue;
    out.set(number, shown_mm - (first.shown_mm ?? 0) - (says_mm - (first.says_mm ?? 0)));
  }
  return out;
}

/** In words, since a sign could be meant either way. @param {number | undefined} mm @param {Units} units */
export function deviationWords(mm, units) {
  if (mm === undefined) return "";
  const amount = fineText(Math.abs(mm), units);
  return Number(amount) === 0 ? "as it says" : `${amount} too ${mm > 0 ? "much" : "little"}`;
}

/** From which side a place was approached. @type {Record<Captured["way"], { sign: string, words: string }>} */
export const WAYS = { 1: { sign: "\u2192", words: "on" }, 0: { sign: "", words: "" }, "-1": { sign: "\u2190", words: "back" } };

// -- quantities -----------------------------------------------------------------------------------------------------------

/** A unit of the documents as millimetres and as inches show it, with what an inch person's number is multiplied by. @type {Partial<Record<QuantityUnit, { mm: string, inch: string, factor: number }>>} */
const LENGTHS = {
  um: { mm: "\u00b5m", inch: "0.001 inch", factor: 1 / MM_PER_INCH },
  mm: { mm: "mm", inch: "inch", factor: 1 / MM_PER_INCH },
  "mm/s": { mm: "mm/s", inch: "inch/s", factor: 1 / MM_PER_INCH },
  // 1 um in 100 mm is 0.0001 inch in 10 inch.
  "um/100 mm": { mm: "\u00b5m in 100 mm", inch: "0.001 inch in 10 inch", factor: 0.1 },
};
/** @type {Partial<Record<QuantityUnit, string>>} */
const PLAIN = { deg: "\u00b0", C: "\u00b0C" };

/** @param {Quantity} quantity @param {Units} units @returns {{ value: string, u: string, unit: string }} */
export function quantityTexts({ value, unit, u, decimals }, units) {
  const length = LENGTHS[unit];
  const inches = length !== undefined && units.length === "inch";
  const factor = inches ? length.factor : 1;
  const digits = inches ? decimals + 1 : decimals;
  return {
    value: numberText(value * factor, digits),
    // Rounded up: it must not claim more than was stated. A hair is taken off first, for 0.1 + 0.2.
    u: u === null ? "" : (Math.ceil(u * factor * 10 ** digits - 1e-6) / 10 ** digits).toFixed(digits),
    unit: length ? (inches ? length.inch : length.mm) : (PLAIN[unit] ?? unit),
  };
}

// -- uncertainty ----------------------------------------------------------------------------------------------------------

/** The uncertainty of a position, as figures show it. @param {LiveState} state @param {AxisBudget} budget */
export function budgetTexts(state, { axis, expanded_um, decimals_mm }) {
  const { units, axes } = state;
  const decimals = units.length === "inch" ? decimalsOf(axes.find((one) => one.axis === axis), units) : decimals_mm;
  return { sign: axisSign(axis, units), u: uText(expanded_um / 1000, axis, units, decimals), phrase: unitPhrase(axis, units), unit: unitWord(units) };
}

/** A standard uncertainty of a contribution, doubled where the axis is read as a diameter. @param {number} um @param {import("./types").Axis} axis @param {Units} units */
export function shareText(um, axis, units) {
  return smallText(units, um / 1000 * (axisSign(axis, units) === "\u2300" ? 2 : 1));
}

/** Degrees of freedom; without end where nothing was repeated few times. @param {number | null} degrees */
export function degreesText(degrees) {
  return degrees === null ? "without end" : degrees < 100 ? degrees.toFixed(0) : "over 100";
}

// -- time -----------------------------------------------------------------------------------------------------------------

/** When something was done, as one says it. @param {string} wall ISO 8601 @param {Date} now */
export function whenWords(wall, now) {
  const then = new Date(wall);
  if (Number.isNaN(then.getTime())) return "";
  const days = Math.round((midnight(now) - midnight(then)) / DAY_MS);
  const time = `${then.getHours()}:${String(then.getMinutes()).padStart(2, "0")}`;
  if (days <= 0) return `today ${time}`;
  if (days === 1) return "yesterday";
  if (days < 14) return `${days} days ago`;
  const day = `${then.getDate()} ${MONTHS[then.getMonth()]}`;
  return then.getFullYear() === now.getFullYear() ? day : `${day} ${then.getFullYear()}`;
}

/** @param {Date} date */
function midnight(date) {
  return new Date(date.getFullYear(), date.getMonth(), date.getDate()).getTime();
}
