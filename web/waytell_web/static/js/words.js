/**
 * The words on the Cut screen, from the state. Pure: the same state gives the same words.
 *
 * @typedef {import("./types").Axis} Axis
 * @typedef {import("./types").Hold} Hold
 * @typedef {import("./types").LiveState} LiveState
 * @typedef {import("./types").Units} Units
 */

import { axisSign, decimalsOf, isDiameter, lengthText, unitWord } from "./figures.js";
import { endWord } from "./kinds.js";

/** @param {LiveState} state @param {Axis} axis */
export function axisOf(state, axis) {
  return state.axes.find((one) => one.axis === axis);
}

/** @param {Axis} axis */
export function slideWord(axis) {
  return axis === "X" ? "cross-slide" : "carriage";
}

/** @param {Axis} axis */
export function axisWord(axis) {
  return axis === "X" ? "across" : "along";
}

/** Behind the end; whether that is a fault is for the engine to say. @param {LiveState} state */
function isBehind(state) {
  return Boolean(state.to_go?.good && state.to_go.value_mm < 0 && !state.reached);
}

/** What the largest figure says. @param {LiveState} state */
export function toGoLabel(state) {
  const { operation } = state;
  if (!operation) return "no operation chosen";
  const end = endWord(operation);
  if (isBehind(state)) return `past the ${end} by`;
  return `to go ${axisWord(operation.feed_axis)}, to the ${end}`;
}

/** @typedef {{ name: "reached" | "past" | "soon" | "none", words: string }} EndState */

/** @param {LiveState} state @returns {EndState} */
export function endState(state) {
  if (!state.operation || !state.to_go?.good) return { name: "none", words: "" };
  if (state.overrun.state === "past") return { name: "past", words: "past the end" };
  if (state.reached) return { name: "reached", words: "reached" };
  if (state.overrun.state === "soon") return { name: "soon", words: "stop now" };
  return { name: "none", words: "" };
}

/** @param {Axis} axis @param {number} mm */
export function directionWord(axis, mm) {
  if (axis === "X") return mm > 0 ? "out from the centre" : "towards the centre";
  return mm > 0 ? "away from the headstock" : "towards the headstock";
}

/** A place on an axis with its sign of diameter or radius. @param {LiveState} state @param {Axis} axis @param {number} mm */
export function placeText(state, axis, mm) {
  const text = lengthText(mm, axis, state.units, decimalsOf(axisOf(state, axis), state.units));
  const sign = axisSign(axis, state.units);
  return sign ? `${sign}\u00a0${text}` : `${text}\u00a0along`;
}

/** @param {LiveState} state @param {Hold | null} hold */
export function holdTitle(state, hold) {
  const slide = slideWord(hold?.axis ?? state.operation?.held_axis ?? "Z");
  if (!hold) return state.operation?.kind === "drilling" ? "no slide to hold" : `${slide}: not known`;
  /** @type {Record<Hold["state"], string>} */
  const titles = {
    free: `${slide} free`,
    watched: `${slide} watched`,
    held: `${slide} held`,
    warning: `${slide} has moved`,
    limit: `${slide} moved too far`,
  };
  return titles[hold.state];
}

/** How much the held slide moved, which way and where. @param {LiveState} state @param {Hold | null} hold */
export function holdDetail(state, hold) {
  if (!hold) return "";
  if (hold.state === "free") return "may be moved";
  const { units } = state;
  const decimals = decimalsOf(axisOf(state, hold.axis), units);
  const amount = lengthText(Math.abs(hold.worst_mm), "slide", units, decimals);
  if (Number(amount) === 0) return "has not moved";
  const way = directionWord(hold.axis, hold.worst_mm);
  const back = hold.came_back ? ", and came back" : "";
  return `moved ${amount} ${unitWord(units)} ${way}${holdPlace(state, hold)}${back}`;
}

/** @param {LiveState} state @param {Hold} hold */
function holdPlace(state, hold) {
  if (hold.worst_at_mm === null) return "";
  return `, at ${placeText(state, hold.axis === "Z" ? "X" : "Z", hold.worst_at_mm)}`;
}

/** What the held axis still has to take, and off what. @param {LiveState} state */
export function leftLabel(state) {
  if (!state.operation) return "left to take off";
  const { kind, held_axis } = state.operation;
  if (kind === "drilling") return "the drill gives the size";
  if (kind === "grooving" || kind === "parting") return "left along, to the wall";
  if (held_axis === "Z") return "left to take off the face";
  if (kind === "boring") return `left to open the bore, on the ${isDiameter("X", state.units) ? "diameter" : "radius"}`;
  return `left to take off the ${isDiameter("X", state.units) ? "diameter" : "radius"}`;
}

/** @param {LiveState} state */
export function passesLeftText(state) {
  if (!state.remaining?.total.good) return "";
  const left = state.remaining.passes_left;
  if (left === 0) return "at size";
  const words = left === 1 ? "last pass" : `${left} passes left`;
  return state.replanned ? `${words}; depth ${state.replanned}` : words;
}

/** @param {LiveState} state */
function spindleText(state) {
  const { spindle } = state;
  if (!spindle) return "";
  if (spindle.rpm < 1) return "spindle stands still";
  const planned = spindle.planned_rpm > 0 ? `, planned ${spindle.planned_rpm.toFixed(0)}` : "";
  return `spindle ${spindle.rpm.toFixed(0)} turns/min${planned}`;
}

/** @param {LiveState} state */
function cuttingText(state) {
  const speed = state.spindle?.cutting_speed_m_min ?? null;
  const atSpeed = speed === null ? "" : `${speed.toFixed(0)} m/min`;
  if (state.cutting === null) return atSpeed && `cutting speed ${atSpeed}`;
  if (!state.cutting) return "clear of the work";
  return atSpeed ? `cutting at ${atSpeed}` : "cutting";
}

/** Spindle, contact, and the board where there is something to say of it. @param {LiveState} state */
export function quietText(state) {
  const { link } = state;
  const board = link.condition === "live" && link.checked ? "" : link.words;
  return [spindleText(state), cuttingText(state), board].filter(Boolean).join(" \u00b7 ");
}
