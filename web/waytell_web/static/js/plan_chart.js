/**
 * What other depths of cut would do: one figure over the depth, with the planned depth and the limit marked.
 *
 * @typedef {import("./plan_types").PlannedStep} PlannedStep
 * @typedef {import("./plan_types").Shows} Shows
 * @typedef {import("./plan_types").WhatIf} WhatIf
 * @typedef {import("./plan_types").WhatIfPoint} WhatIfPoint
 * @typedef {import("./types").Units} Units
 */

import { html } from "../vendor/htm-preact-3.1.1.module.js";
import { acrossAt, axis, Chart, frame, styled, upAt } from "./chart.js";
import { axisSign, smallShown, smallUnit, toShown, unitWord } from "./figures.js";
import { placeText } from "./plan_words.js";

/** @type {[Shows, string][]} */
export const SHOWN = [["deflection", "bending"], ["power", "power"], ["force", "force"], ["time", "time"]];

/** The values, their unit and the limit of one figure. @param {WhatIf} whatIf @param {Shows} shows @param {Units} units */
export function whatIfLine(whatIf, shows, units) {
  const { points, deflection_limit_mm, power_limit_w } = whatIf;
  const micro = (/** @type {number} */ mm) => smallShown(units, mm);
  /** @type {Record<Shows, { words: string, unit: string, of: (point: WhatIfPoint) => number, limit: number | null }>} */
  const lines = {
    deflection: { words: "bending of the work", unit: smallUnit(units), of: (point) => micro(point.deflection_mm), limit: micro(deflection_limit_mm) },
    power: { words: "power from the motor", unit: "W", of: ({ power_w }) => power_w, limit: power_limit_w },
    force: { words: "cutting force", unit: "N", of: ({ force_n }) => force_n, limit: null },
    time: { words: "cutting time", unit: "s", of: ({ time_s }) => time_s, limit: null },
  };
  const { of, ...line } = lines[shows];
  const values = points.map(of);
  // A limit that is far off is told beside the chart; it must not press the line flat.
  return { ...line, values, far: line.limit !== null && line.limit > 3 * Math.max(...values) };
}

/** @param {{ whatIf: WhatIf, step: PlannedStep, shows: Shows, units: Units, look: string }} inputs */
export function whatIfChart({ whatIf, step, shows, units, look }) {
  const { held_axis } = step.operation;
  const line = whatIfLine(whatIf, shows, units);
  const depths = whatIf.points.map(({ depth_mm }) => toShown(depth_mm, held_axis, units));
  const planned = toShown(whatIf.planned_mm, held_axis, units);
  const across = `depth of a pass, ${axisSign(held_axis, units)} ${unitWord(units)}`;
  const short = (/** @type {number} */ value) => Number(value.toPrecision(3));
  const label = `${line.words}, ${line.unit}, over the ${across}: ${short(line.values[0])} to ${short(line.values[line.values.length - 1])}. Planned depth ${placeText(units, held_axis, whatIf.planned_mm)}.`
    + (line.limit === null ? "" : ` Limit ${short(line.limit)}.`);
  return html`<figure class="chart-frame">
    <figcaption>
      <span class="line-key"><i class="line"></i>${line.words}, ${line.unit}</span>
      <span class="line-key"><i class="line second"></i>as planned</span>
      ${line.limit !== null && html`<span class="line-key"><i class="line limit"></i>limit ${short(line.limit)} ${line.unit}${line.far ? ", far above" : ""}</span>`}
    </figcaption>
    <${Chart} make=${(/** @type {number} */ width) => inputs(line, depths, planned, across, width)} shows=${JSON.stringify([whatIf, shows, units])} look=${look} label=${label} />
  </figure>`;
}

/** @param {ReturnType<typeof whatIfLine>} line @param {number[]} depths @param {number} planned @param {string} across @param {number} width */
function inputs({ unit, values, limit, far }, depths, planned, across, width) {
  const most = Math.max(...values);
  const top = limit === null || far ? most : Math.max(most, limit);
  const options = {
    ...frame(width),
    scales: { x: { time: false }, left: { range: [0, (top || 1) * 1.08] } },
    axes: [axis({ label: across }), axis({ scale: "left", side: 3, size: 64, label: unit })],
    series: [{}, { scale: "left", stroke: styled("--must-act-words"), width: 2, points: { show: false } }],
    hooks: {
      draw: [
        (/** @type {any} */ plot) => {
          if (limit !== null && !far) acrossAt(plot, plot.valToPos(limit, "left", true), styled("--danger-words"), []);
          upAt(plot, plot.valToPos(planned, "x", true), styled("--ink"), [7, 4]);
        },
      ],
    },
  };
  return [options, [depths, values]];
}
