/**
 * The held axis over a pass, small: how far it stood from where it began, all rows to the same scale.
 *
 * @typedef {import("../vendor/htm-preact-3.1.1.module.js").VNode} VNode
 */

import { html } from "../vendor/htm-preact-3.1.1.module.js";

const WIDTH = 120;
const HEIGHT = 36;
/** Micrometres from the middle to the edge of the picture: a slide that held shows as a line that is almost straight. */
const LEAST_UM = 20;

/** The common scale: what the largest departure needs, and never so fine that single counts look like trouble. @param {Iterable<number[]>} traces */
export function sparkScale(traces) {
  let most = LEAST_UM;
  for (const trace of traces) for (const um of trace) most = Math.max(most, Math.abs(um));
  return most;
}

/** @param {number[]} trace @param {number} most_um */
export function sparkPoints(trace, most_um) {
  const step = WIDTH / Math.max(1, trace.length - 1);
  return trace.map((um, n) => `${(n * step).toFixed(1)},${(HEIGHT / 2 - (um / most_um) * (HEIGHT / 2 - 2)).toFixed(1)}`).join(" ");
}

/** @param {number[]} trace @param {number} most_um @returns {VNode | string} */
export function spark(trace, most_um) {
  if (trace.length < 2) return "";
  return html`<svg class="spark" viewBox="0 0 ${WIDTH} ${HEIGHT}" preserveAspectRatio="none" aria-hidden="true">
    <path class="zero" d="M0 ${HEIGHT / 2}H${WIDTH}" /><polyline points=${sparkPoints(trace, most_um)} />
  </svg>`;
}
