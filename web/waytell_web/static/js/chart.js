/// <reference path="../vendor/uplot.d.ts" />
/** Charts drawn by uPlot, in the colours and the typeface of the page: what all of them have in common. */

import { html, useEffect, useRef } from "../vendor/htm-preact-3.1.1.module.js";

const HEIGHT = 190;
const TICK_PX = 6;

/** A property of the style sheet. @param {string} name */
export function styled(name) {
  return getComputedStyle(document.documentElement).getPropertyValue(name).trim();
}

/** A chart that is made anew when what it shows, its width or the look changes. @param {{ make: (width: number) => unknown[], shows: unknown, look: string, label: string }} inputs */
export function Chart({ make, shows, look, label }) {
  const place = useRef(/** @type {HTMLDivElement | null} */ (null));
  useEffect(() => {
    const { current } = place;
    if (!current) return;
    /** @type {any} */
    let plot = null;
    const draw = () => {
      plot?.destroy();
      plot = current.clientWidth > 50 ? new uPlot(...make(current.clientWidth), current) : null;
    };
    const watch = new ResizeObserver(draw);
    watch.observe(current);
    return () => {
      watch.disconnect();
      plot?.destroy();
    };
  }, [shows, look]);
  return html`<div class="chart" role="img" aria-label=${label} ref=${place}></div>`;
}

/** @param {number} width */
export function frame(width) {
  return { width, height: HEIGHT, legend: { show: false }, cursor: { show: false }, padding: [10, 8, 0, 0] };
}

/** @param {Record<string, unknown>} own */
export function axis(own) {
  const font = `14px ${getComputedStyle(document.body).fontFamily}`;
  return {
    stroke: styled("--soft"), font, labelFont: font, labelSize: 20, labelGap: 2, size: 34, gap: 4,
    grid: { stroke: styled("--hairline"), width: 1 }, ticks: { stroke: styled("--hairline"), width: 1, size: TICK_PX }, ...own,
  };
}

/** @param {any} plot @param {number} y @param {string} colour @param {number[]} dash */
export function acrossAt(plot, y, colour, dash) {
  const { left, width } = plot.bbox;
  straight(plot, [left, y], [left + width, y], colour, dash);
}

/** @param {any} plot @param {number} x @param {string} colour @param {number[]} dash */
export function upAt(plot, x, colour, dash) {
  const { top, height } = plot.bbox;
  straight(plot, [x, top], [x, top + height], colour, dash);
}

/** @param {any} plot @param {[number, number]} from @param {[number, number]} to @param {string} colour @param {number[]} dash */
function straight({ ctx }, from, to, colour, dash) {
  ctx.save();
  ctx.strokeStyle = colour;
  ctx.lineWidth = 1.5 * devicePixelRatio;
  ctx.setLineDash(dash.map((one) => one * devicePixelRatio));
  ctx.beginPath();
  ctx.moveTo(...from);
  ctx.lineTo(...to);
  ctx.stroke();
  ctx.restore();
}
