/**
 * The words and numbers of the Plan page. Pure.
 *
 * @typedef {import("./plan_types").PlannedPass} PlannedPass
 * @typedef {import("./plan_types").PlannedStep} PlannedStep
 * @typedef {import("./types").Axis} Axis
 * @typedef {import("./types").Units} Units
 */

import { axisSign, lengthText, numberText, unitWord } from "./figures.js";

const MM_PER_INCH = 25.4;
const FEET_PER_METRE = 1000 / MM_PER_INCH / 12;

/** A place, a size or a depth on an axis, with the sign of a diameter or a radius, without its unit. @param {Units} units @param {Axis} axis @param {number} mm @param {number} [more] further digits */
export function placeText(units, axis, mm, more = 0) {
  const sign = axisSign(axis, units);
  return `${sign ? `${sign}\u00a0` : ""}${lengthText(mm, axis, units, more + (units.length === "inch" ? 3 : 2))}`;
}

/** A length on the drawing, where a diameter is a diameter. @param {Units} units @param {number} mm @param {number} [more] */
export function drawnText(units, mm, more = 0) {
  return lengthText(mm, "slide", units, more + (units.length === "inch" ? 3 : 2));
}

/** @param {Units} units @param {number} mm_rev */
export function feedText(units, mm_rev) {
  return `${lengthText(mm_rev, "slide", units, units.length === "inch" ? 4 : 2)} ${unitWord(units)}`;
}

/** @param {Units} units @param {number} m_min */
export function cuttingSpeedText(units, m_min) {
  return units.length === "inch" ? `${numberText(m_min * FEET_PER_METRE, 0)} feet/min` : `${numberText(m_min, 0)} m/min`;
}

/** Shape and word together, so that colour is never alone. @type {Record<PlannedStep["state"], { sign: string, words: string }>} */
export const STATES = {
  to_do: { sign: "", words: "" },
  next: { sign: "\u25b6", words: "next" },
  done: { sign: "\u2713", words: "done" },
  cannot: { sign: "\u2715", words: "cannot be met" },
};

/** What decided the turns, in short. @type {Record<PlannedStep["speed"]["limit"], string>} */
export const SPEED_LIMITS = {
  material: "for this material",
  machine: "the lathe\u2019s limit",
  chuck: "the chuck\u2019s limit",
  steps: "of those it has",
};

/** What decided the depth of a pass. @type {Record<PlannedPass["limit"], string>} */
export const DEPTH_LIMITS = {
  operator: "your deepest pass",
  power: "the motor",
  deflection: "bending",
  tool: "the tool",
  size: "what is left",
};

/** Passes of the same role and depth together, in their order. @param {PlannedStep} step @param {Units} units */
export function passesWords({ passes, operation, state }, units) {
  if (passes.length === 0) return state === "done" ? "none left" : "in one go";
  /** @type {{ times: number, role: string, depth: string }[]} */
  const groups = [];
  for (const { role, depth_mm } of passes) {
    const depth = role === "spring" ? "" : placeText(units, operation.held_axis, depth_mm);
    const last = groups[groups.length - 1];
    if (last?.role === role && last.depth === depth) last.times += 1;
    else groups.push({ times: 1, role, depth });
  }
  return groups.map(({ times, role, depth }) => `${times > 1 ? `${times}\u00a0\u00d7\u00a0` : ""}${depth ? `${depth}\u00a0` : ""}${role}`).join(", ");
}

/** Cautions of common practice come apart from those of this very plan. @param {{ code: string }} caution */
export function isCommon({ code }) {
  return code.startsWith("common");
}

/** @param {string} hash @returns {import("./plan_types").Screen} */
export function screenAt(hash) {
  return hash === "#tables" ? "tables" : "plan";
}
