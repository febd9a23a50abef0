/**
 * The plots of a finding. Each line has a dash and a mark of its own, so that colour is never alone.
 *
 * @typedef {import("./prove_types").Plot} Plot
 */

import { html } from "../vendor/htm-preact-3.1.1.module.js";
import { acrossAt, axis, Chart, frame, styled } from "./chart.js";

const MARK_PX = 5;
/** With more points than this the marks would run into one another. */
const MOST_MARKS = 60;
/** From so many times their own span off, zero is not drawn. */
const FAR_SPANS = 5;

/** @typedef {"round" | "corner" | "square" | "tilted"} Mark */
/** @typedef {{ colour: string, dash: number[], mark: Mark }} Look */

/** In the order of the series; a fifth begins again. @type {Look[]} */
const LOOKS = [
  { colour: "--must-act-words", dash: [], mark: "round" },
  { colour: "--ink", dash: [7, 4], mark: "corner" },
  { colour: "--normal", dash: [2, 3], mark: "square" },
  { colour: "--danger-words", dash: [10, 3, 2, 3], mark: "tilted" },
];

/** @param {number} n */
function lookOf(n) {
  return LOOKS[n % LOOKS.length];
}

/**
 * One row for each point, in the order of the abscissa: other series have nothing there, and their lines go across.
 * @param {Plot} plot @returns {[number[], ...(number | null)[][]]}
 */
export function aligned({ series }) {
  const rows = series.flatMap(({ points }, n) => points.map(([x, y]) => ({ n, x, y }))).sort((a, b) => a.x - b.x);
  return [rows.map(({ x }) => x), ...series.map((_, n) => rows.map((row) => (row.n === n ? row.y : null)))];
}

/** @param {Plot} plot */
export function plotWords({ across, up, series }) {
  const short = (/** @type {number} */ value) => Number(value.toPrecision(3));
  const ranges = series.filter(({ points }) => points.length > 0).map(({ name, points }) => {
    const ys = points.map(([, y]) => y);
    return `${name}: ${short(Math.min(...ys))} to ${short(Math.max(...ys))}`;
  });
  return `${up} over ${across}. ${ranges.join("; ")}`;
}

/** @param {Plot} plot @param {number} key @param {string} look */
export function plotFigure(plot, key, look) {
  if (plot.series.every(({ points }) => points.length === 0)) return "";
  return html`<figure class="chart-frame" key=${key}>
    <figcaption>${plot.up}${plot.series.map(({ name }, n) => html`<span class="line-key" key=${name}>${keyMark(n)}${name}</span>`)}</figcaption>
    <${Chart} make=${(/** @type {number} */ width) => inputs(plot, width)} shows=${JSON.stringify(plot)} look=${look} label=${plotWords(plot)} />
  </figure>`;
}

/** @type {Record<Mark, string>} */
const KEY_SHAPES = { round: "M16 3a5 5 0 1 0 .01 0Z", corner: "M16 2l6 11H10Z", square: "M11 3h10v10H11Z", tilted: "M16 1l7 7-7 7-7-7Z" };

/** @param {number} n */
function keyMark(n) {
  const { dash, mark } = lookOf(n);
  return html`<svg class="key-mark series-${n % LOOKS.length}" viewBox="0 0 32 16" aria-hidden="true"><path class="key-line" d="M0 8h32" stroke-dasharray=${dash.join(" ")} /><path class="key-shape" d=${KEY_SHAPES[mark]} /></svg>`;
}

/** @param {Plot} plot @param {number} width */
function inputs(plot, width) {
  const data = aligned(plot);
  const [xs] = data;
  const [low, high] = [xs[0], xs[xs.length - 1]];
  const room = (high - low || 1) * 0.04;
  const options = {
    ...frame(width),
    scales: { x: { time: false, range: [low - room, high + room] }, left: { range: (/** @type {unknown} */ _, /** @type {number} */ least, /** @type {number} */ most) => heights(least, most) } },
    axes: [axis({ label: plot.across }), axis({ scale: "left", side: 3, size: 64 })],
    series: [
      {},
      ...plot.series.map((_, n) => ({ scale: "left", stroke: styled(lookOf(n).colour), width: 2, dash: lookOf(n).dash, spanGaps: true, points: { show: false } })),
    ],
    hooks: { drawAxes: [zeroLine], draw: [(/** @type {any} */ chart) => marks(chart, plot)] },
  };
  return [options, data];
}

/** Zero stays in sight, since a deviation is one from there; sizes are far from it, and would lie flat. @param {number} least @param {number} most @returns {[number, number]} */
export function heights(least, most) {
  const far = Math.min(Math.abs(least), Math.abs(most)) > FAR_SPANS * (most - least) && least * most > 0 && least !== most;
  const [from, to] = far ? [least, most] : [Math.min(0, least), Math.max(0, most)];
  const room = (to - from || 1) * 0.12;
  return [from - room, to + room];
}

/** @param {any} chart */
function zeroLine(chart) {
  const { min, max } = chart.scales.left;
  if (min <= 0 && max >= 0) acrossAt(chart, chart.valToPos(0, "left", true), styled("--soft"), []);
}

/** @param {any} chart @param {Plot} plot */
function marks(chart, { series }) {
  const { ctx } = chart;
  const r = MARK_PX * devicePixelRatio;
  ctx.save();
  for (const [n, { points }] of series.entries()) {
    if (points.length > MOST_MARKS) continue;
    ctx.fillStyle = styled(lookOf(n).colour);
    for (const [x, y] of points) drawMark(ctx, lookOf(n).mark, chart.valToPos(x, "x", true), chart.valToPos(y, "left", true), r);
  }
  ctx.restore();
}

/** @param {CanvasRenderingContext2D} ctx @param {Mark} mark @param {number} x @param {number} y @param {number} r */
function drawMark(ctx, mark, x, y, r) {
  ctx.beginPath();
  if (mark === "round") ctx.arc(x, y, r, 0, 2 * Math.PI);
  else if (mark === "square") ctx.rect(x - r, y - r, 2 * r, 2 * r);
  else {
    const corners = mark === "corner" ? [[0, -1.2], [1.2, 1], [-1.2, 1]] : [[0, -1.3], [1.3, 0], [0, 1.3], [-1.3, 0]];
    for (const [dx, dy] of corners) ctx.lineTo(x + dx * r, y + dy * r);
  }
  ctx.fill();
}
