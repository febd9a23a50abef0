/**
 * How many times larger the detail is drawn: in round steps, the larger the nearer the tool comes to where it is to be,
 * and back only after it has clearly gone away, so that nothing breathes. Pure.
 *
 * @typedef {import("./types").LiveState} LiveState
 * @typedef {import("./types").Operation} Operation
 * @typedef {[z_mm: number, radius_mm: number]} Spot
 */

export const STEPS = [2, 5, 10, 20, 50, 100, 200, 500];
/** 0.1 mm is a few pixels at the least. */
const LEAST_PX_MM = 80;
/** Two counts of 5 micrometres are as far apart as a finger is wide: larger shows nothing new. */
const MOST_PX_MM = 2000;
/** What is left takes so much of the detail's radius. */
const SHARE = 0.55;
const BACK = 0.6;

/** What is left on the axis that moves now: along the feed in a pass, else to the depth of the next one. @param {LiveState} state @returns {number} in mm; infinite where it is not known */
export function nearness(state) {
  const figure = state.stroke ? state.to_go : (state.remaining?.this_pass ?? null);
  return figure?.good ? Math.abs(figure.value_mm) : Infinity;
}

export class Zoom {
  constructor() {
    this.times = 0;
  }

  /** @param {number} left_mm @param {number} scale px a mm of the main view @param {number} radius_px @returns {number} */
  step(left_mm, scale, radius_px) {
    const most = Math.max(LEAST_PX_MM, Math.min(MOST_PX_MM, (SHARE * radius_px) / Math.max(left_mm, 1e-6)));
    const wanted = stepUpTo(most / scale);
    const least = STEPS.find((one) => one * scale >= LEAST_PX_MM) ?? STEPS[STEPS.length - 1];
    const next = Math.max(least, wanted);
    // Nearer at once; further only when it has clearly gone away.
    if (next > this.times || most / scale < BACK * this.times || this.times < least) this.times = next;
    return this.times;
  }
}

/** @param {number} most */
function stepUpTo(most) {
  return STEPS.findLast((one) => one <= most) ?? STEPS[0];
}

/**
 * The limits of the size, as two lines beside the finished surface; none where none are given, and none of a cone, whose
 * size has no one place.
 * @param {Operation} operation @returns {[Spot, Spot][]}
 */
export function limitLines({ kind, start_mm, end_mm, target_mm, tolerance_mm }) {
  if (tolerance_mm <= 0 || !["facing", "turning", "boring"].includes(kind)) return [];
  return [-tolerance_mm / 2, tolerance_mm / 2].map((off) => {
    const held = target_mm + off;
    return kind === "facing" ? [[held, start_mm], [held, end_mm]] : [[start_mm, held], [end_mm, held]];
  });
}
