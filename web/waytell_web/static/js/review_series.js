/**
 * What the charts show, in the person's units. Pure.
 *
 * @typedef {import("./types").Units} Units
 * @typedef {import("./review_types").Along} Along
 * @typedef {import("./review_types").PassReview} PassReview
 * @typedef {import("./review_types").PartRecord} PartRecord
 * @typedef {import("./review_types").Size} Size
 * @typedef {import("./review_types").SizeStatistics} SizeStatistics
 * @typedef {(number | null)[]} Column
 *
 * @typedef {object} Line
 * @property {string} label
 * @property {Column} values
 * @property {"first" | "second"} look    two lines in one chart differ in their dashes, not by colour alone
 * @property {"left" | "right"} side
 *
 * @typedef {object} ChartSeries
 * @property {string} title
 * @property {string} across              what the horizontal axis counts
 * @property {number[]} places
 * @property {Line[]} lines
 * @property {boolean} [zero]             with a line at nothing
 * @property {number} [least]             the vertical axis covers at least so much to both sides
 */

import { axisSign, toShown, unitWord } from "./figures.js";
import { creepShown, creepUnit } from "./review_words.js";

/** @param {Units} units @param {"X" | "Z"} axis */
function axisLabel(units, axis) {
  const unit = unitWord(units);
  return axis === "X" ? `X, ${axisSign("X", units)} ${unit}` : `Z, ${unit}`;
}

/** X and Z over the time of the pass. @param {PassReview} review @param {Units} units @returns {ChartSeries} */
export function motionSeries({ samples }, units) {
  return {
    title: "Where the tool was",
    across: "seconds",
    places: samples.map(([t]) => t),
    lines: [
      { label: axisLabel(units, "X"), values: samples.map(([, x]) => toShown(x, "X", units)), look: "first", side: "left" },
      { label: axisLabel(units, "Z"), values: samples.map(([, , z]) => toShown(z, "Z", units)), look: "second", side: "right" },
    ],
  };
}

/** The held axis along the feed. @param {PassReview} review @param {Units} units @returns {ChartSeries} */
export function creepSeries({ creep_um, held_axis, passed }, units) {
  const slide = held_axis === "Z" ? "carriage" : "cross-slide";
  return {
    title: `How the ${slide} held`,
    ...along(creep_um, passed, units, `creep, ${creepUnit(units)}`, (um) => creepShown(units, um)),
    zero: true,
    least: creepShown(units, 10),
  };
}

/** The feed along the way. @param {PassReview} review @param {Units} units @returns {ChartSeries} */
export function speedSeries({ speed, passed }, units) {
  const label = `feed, ${unitWord(units)}/min`;
  return {
    title: "How fast it was fed",
    ...along(speed, passed, units, label, (mm_min) => toShown(mm_min, "slide", units)),
    zero: true,
  };
}

/**
 * Values over places that may come back on themselves: a chart wants its places in order.
 * @param {Along[]} points @param {import("./types").Pass} pass @param {Units} units @param {string} label @param {(value: number) => number} shown
 */
function along(points, { feed_axis: axis, start_mm, end_mm }, units, label, shown) {
  const sorted = [...points].sort(([a], [b]) => a - b);
  /** @type {Line[]} */
  const lines = [{ label, values: sorted.map(([, value]) => shown(value)), look: "first", side: "left" }];
  return { across: `${axisLabel(units, axis)}, fed ${end_mm < start_mm ? "\u2190" : "\u2192"}`, places: sorted.map(([at]) => toShown(at, axis, units)), lines };
}

/**
 * One size over the parts of a batch, the last measurement of each.
 * @typedef {{ part: number, value: number, u: number, outside: boolean }} RunPoint
 * @typedef {{ points: RunPoint[], low: number | null, high: number | null, mean: number, label: string }} Run
 * @param {PartRecord[]} parts @param {SizeStatistics} one @param {Units} units @returns {Run}
 */
export function runOf(parts, one, units) {
  const { axis, operation } = one;
  /** @param {number} mm */
  const shown = (mm) => toShown(mm, axis, units);
  const sizes = parts.flatMap((part) => part.sizes.filter((size) => size.counts && size.operation === operation && size.axis === axis));
  return {
    points: sizes.map((size) => ({
      part: size.part,
      value: shown(size.at_mm),
      u: shown(size.u_mm),
      outside: size.verdict === "outside" || size.verdict === "reads_outside",
    })),
    low: one.low_mm === null ? null : shown(one.low_mm),
    high: one.high_mm === null ? null : shown(one.high_mm),
    mean: shown(one.mean_mm),
    label: `${axisSign(axis, units)} ${unitWord(units)}`.trim(),
  };
}

/** The least and the largest of a line, for those who do not see the chart. @param {Line} line */
export function rangeWords({ label, values }) {
  const known = values.filter((value) => value !== null);
  if (known.length === 0) return `${label}: nothing known`;
  /** @param {number} value */
  const short = (value) => Number(value.toPrecision(4));
  return `${label}: ${short(Math.min(...known))} to ${short(Math.max(...known))}`;
}
