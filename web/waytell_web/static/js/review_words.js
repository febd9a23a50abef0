/**
 * The words and numbers of the Review page. Pure.
 *
 * @typedef {import("./types").Axis} Axis
 * @typedef {import("./types").LiveState} LiveState
 * @typedef {import("./types").Pass} Pass
 * @typedef {import("./types").Units} Units
 * @typedef {import("./review_types").Choice} Choice
 * @typedef {import("./review_types").Size} Size
 * @typedef {import("./review_types").Verdict} Verdict
 */

import { axisSign, changeText, decimalsOf, lengthText, NO_NUMBER, numberText, toShown, uText, unitWord } from "./figures.js";
import { axisOf } from "./words.js";

const MM_PER_INCH = 25.4;

/** @param {Pass} pass @returns {Axis} */
export function heldAxis(pass) {
  return pass.feed_axis === "X" ? "Z" : "X";
}

/** As many as the scale supports now, and never more than a record can bear. @param {LiveState} state @param {Axis} axis */
function digits(state, axis) {
  return Math.min(decimalsOf(axisOf(state, axis), state.units), state.units.length === "inch" ? 4 : 3);
}

/** A place or a size on an axis, with its sign and its unit. @param {LiveState} state @param {Axis} axis @param {number} mm @param {number} [decimals] */
export function placeWords(state, axis, mm, decimals = digits(state, axis)) {
  const sign = axisSign(axis, state.units);
  return `${sign ? `${sign}\u00a0` : ""}${lengthText(mm, axis, state.units, decimals)}`;
}

/** @param {LiveState} state @param {Pass} pass */
export function depthText(state, pass) {
  if (pass.depth_mm === null) return NO_NUMBER;
  return placeWords(state, heldAxis(pass), pass.depth_mm);
}

/** How far a slide moved is never doubled. @param {LiveState} state @param {Pass} pass */
export function creepText(state, pass) {
  return changeText(pass.creep_mm, "slide", state.units, digits(state, heldAxis(pass)));
}

/** From where to where it was fed. @param {LiveState} state @param {Pass} pass */
export function wayText(state, pass) {
  const decimals = Math.min(2, digits(state, pass.feed_axis));
  /** @param {number} mm */
  const at = (mm) => placeWords(state, pass.feed_axis, mm, decimals);
  return `${at(pass.start_mm)} \u2192 ${at(pass.end_mm)}`;
}

/** @param {Units} units @param {number} mm_min */
export function feedText(units, mm_min) {
  return `${numberText(toShown(mm_min, "slide", units), units.length === "inch" ? 2 : 0)} ${unitWord(units)}/min`;
}

/** Creep in charts: micrometres, or thousandths of an inch. @param {Units} units @param {number} um */
export function creepShown(units, um) {
  return units.length === "inch" ? um / MM_PER_INCH : um;
}

/** @param {Units} units */
export function creepUnit(units) {
  return units.length === "inch" ? "0.001 inch" : "\u00b5m";
}

/** Shape and words together, so that colour is never alone. @type {Record<Verdict, { sign: string, words: string }>} */
export const VERDICTS = {
  within: { sign: "\u2713", words: "within limits" },
  outside: { sign: "\u2715", words: "outside limits" },
  open: { sign: "?", words: "too near a limit to decide" },
  reads_within: { sign: "?", words: "reads within; U not known" },
  reads_outside: { sign: "\u2715", words: "reads outside; U not known" },
  no_limits: { sign: "", words: "no limits given" },
};

/** @param {LiveState} state @param {Size} size */
export function sizeText(state, size) {
  const decimals = state.units.length === "inch" ? 4 : 3;
  const text = placeWords(state, size.axis, size.at_mm, decimals);
  return size.u_mm > 0 ? `${text} \u00b1 ${uText(size.u_mm, size.axis, state.units, decimals)}` : text;
}

/** @param {string} name */
export function nameOr(name) {
  return name || "without a name";
}

// -- filters ----------------------------------------------------------------------------------------------------------

/** @param {Pass[]} passes @param {Choice} choice newest first */
export function filtered(passes, choice) {
  return passes
    .filter((pass) => fits(pass.part, choice.part) && fits(pass.set_up, choice.set_up) && fits(pass.operation, choice.operation))
    .reverse();
}

/** An empty choice is all. @param {string | number} value @param {string} wanted */
function fits(value, wanted) {
  return wanted === "" || String(value) === wanted;
}

/** The values to choose from, each once, in the order in which they came. @param {Pass[]} passes @param {"part" | "set_up" | "operation"} field */
export function values(passes, field) {
  return [...new Set(passes.map((pass) => String(pass[field])))].filter(Boolean);
}

/** The pass to show: the chosen one, else the newest of those listed. @param {Pass[]} passes @param {Choice} choice */
export function chosenPass(passes, choice) {
  return passes.find((pass) => pass.number === choice.chosen) ?? filtered(passes, choice)[0] ?? null;
}

/** Where the page stands, as the part of the address after the #. @param {Choice} choice */
export function addressOf(choice) {
  return choice.screen === "passes" && choice.chosen !== null ? `#passes/${choice.chosen}` : `#${choice.screen}`;
}

/** @param {string} hash @returns {Pick<Choice, "screen" | "chosen">} */
export function placeAt(hash) {
  const [name, number] = hash.replace("#", "").split("/");
  const screen = name === "parts" || name === "files" ? name : "passes";
  const chosen = /^[1-9]\d*$/.test(number ?? "") ? Number(number) : null;
  return { screen, chosen: screen === "passes" ? chosen : null };
}
