/**
 * The charts of the Review page.
 *
 * @typedef {import("./review_series.js").ChartSeries} ChartSeries
 * @typedef {import("./review_series.js").Line} Line
 * @typedef {import("./review_series.js").Run} Run
 */

import { html } from "../vendor/htm-preact-3.1.1.module.js";
import { acrossAt, axis, Chart, frame, styled } from "./chart.js";
import { rangeWords } from "./review_series.js";

const MARK_PX = 6;

/** @param {ChartSeries} series @param {string} look @param {unknown} shows what it was made from */
export function seriesChart(series, look, shows) {
  const label = `${series.title}. ${series.lines.map(rangeWords).join("; ")}`;
  return html`<figure class="chart-frame">
    <figcaption>${series.title}${series.lines.length > 1 ? series.lines.map(key) : ""}</figcaption>
    <${Chart} make=${(/** @type {number} */ width) => seriesInputs(series, width)} shows=${shows} look=${look} label=${label} />
  </figure>`;
}

/** @param {Line} line */
function key(line) {
  return html`<span class="line-key"><i class="line ${line.look}"></i>${line.label}</span>`;
}

/** @param {ChartSeries} series @param {number} width */
function seriesInputs(series, width) {
  const colours = { first: styled("--must-act-words"), second: styled("--ink") };
  const options = {
    ...frame(width),
    scales: { x: { time: false }, ...Object.fromEntries(series.lines.map(({ side }) => [side, { range: rangeFor(series) }])) },
    axes: [axis({ label: series.across }), ...series.lines.map((line) => sideAxis(line, series.lines.length > 1))],
    series: [
      {},
      ...series.lines.map((line) => ({
        scale: line.side,
        stroke: colours[line.look],
        width: 2,
        dash: line.look === "second" ? [7, 4] : undefined,
        points: { show: false },
      })),
    ],
    hooks: series.zero ? { drawAxes: [zeroLine] } : {},
  };
  return [options, [series.places, ...series.lines.map((line) => line.values)]];
}

/** @param {Line} line @param {boolean} two */
function sideAxis(line, two) {
  return axis({ scale: line.side, side: line.side === "right" ? 1 : 3, size: 64, label: line.label, grid: { show: !two || line.side === "left", stroke: styled("--hairline"), width: 1 } });
}

/** A chart must not blow the noise of a steady slide up to its full height. @param {ChartSeries} series */
function rangeFor({ zero, least = 0 }) {
  return (/** @type {unknown} */ _, /** @type {number} */ low, /** @type {number} */ high) => {
    const [from, to] = zero ? [Math.min(0, -least, low), Math.max(0, least, high)] : [low, high];
    const room = (to - from || 1) * 0.08;
    return [from - room, to + room];
  };
}

/** @param {any} plot */
function zeroLine(plot) {
  acrossAt(plot, plot.valToPos(0, "left", true), styled("--soft"), []);
}

// -- sizes over the parts ---------------------------------------------------------------------------------------------

/** @param {Run} run @param {string} title @param {string} look @param {unknown} shows what it was made from */
export function runChart(run, title, look, shows) {
  const label = `${title}, part by part: ${run.points.map(({ part, value, outside }) => `part ${part} ${Number(value.toFixed(4))}${outside ? ", outside" : ""}`).join("; ")}`;
  return html`<figure class="chart-frame">
    <figcaption>
      Size, part by part
      <span class="line-key"><i class="mark round"></i>part</span>
      <span class="line-key"><i class="mark out"></i>outside limits</span>
      <span class="line-key"><i class="line limit"></i>limits</span>
      <span class="line-key"><i class="line second"></i>mean</span>
    </figcaption>
    <${Chart} make=${(/** @type {number} */ width) => runInputs(run, width)} shows=${shows} look=${look} label=${label} />
  </figure>`;
}

/** @param {Run} run @param {number} width */
function runInputs(run, width) {
  const parts = run.points.map(({ part }) => part);
  const all = [run.low, run.high, ...run.points.flatMap(({ value, u }) => [value - u, value + u])].filter((one) => one !== null);
  const room = (Math.max(...all) - Math.min(...all) || 0.01) * 0.12;
  const options = {
    ...frame(width),
    scales: {
      x: { time: false, range: [Math.min(...parts) - 0.5, Math.max(...parts) + 0.5] },
      left: { range: [Math.min(...all) - room, Math.max(...all) + room] },
    },
    axes: [axis({ label: "part", incrs: [1, 2, 5, 10, 20, 50, 100] }), axis({ scale: "left", side: 3, size: 72, label: run.label })],
    series: [{}, { scale: "left", stroke: styled("--soft"), width: 1, points: { show: false } }],
    hooks: { drawAxes: [(/** @type {any} */ plot) => runLines(plot, run)], draw: [(/** @type {any} */ plot) => runMarks(plot, run)] },
  };
  return [options, [parts, run.points.map(({ value }) => value)]];
}

/** @param {any} plot @param {Run} run */
function runLines(plot, { low, high, mean }) {
  for (const limit of [low, high]) {
    if (limit !== null) acrossAt(plot, plot.valToPos(limit, "left", true), styled("--danger-words"), []);
  }
  acrossAt(plot, plot.valToPos(mean, "left", true), styled("--ink"), [7, 4]);
}

/** A round mark for each part with its uncertainty; a triangle where it is outside. @param {any} plot @param {Run} run */
function runMarks(plot, { points }) {
  const { ctx } = plot;
  const r = MARK_PX * devicePixelRatio;
  ctx.save();
  ctx.lineWidth = 1.5 * devicePixelRatio;
  for (const { part, value, u, outside } of points) {
    const [x, y] = [plot.valToPos(part, "x", true), plot.valToPos(value, "left", true)];
    ctx.fillStyle = ctx.strokeStyle = styled(outside ? "--danger-words" : "--must-act-words");
    ctx.beginPath();
    if (outside) {
      ctx.moveTo(x, y - 1.3 * r);
      ctx.lineTo(x + 1.2 * r, y + r);
      ctx.lineTo(x - 1.2 * r, y + r);
    } else ctx.arc(x, y, r, 0, 2 * Math.PI);
    ctx.fill();
    ctx.beginPath();
    ctx.moveTo(x, plot.valToPos(value - u, "left", true));
    ctx.lineTo(x, plot.valToPos(value + u, "left", true));
    ctx.stroke();
  }
  ctx.restore();
}
