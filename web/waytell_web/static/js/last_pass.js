/**
 * The way of the tool point in the last pass, and how far the held slide crept in it, larger than life. Pure but for
 * `LastPass`, which asks the server for the pass when there is a new one.
 *
 * @typedef {import("./section_geometry.js").Projection} Projection
 * @typedef {import("./types").LiveState} LiveState
 * @typedef {import("./types").Pass} Pass
 * @typedef {[z_mm: number, radius_mm: number]} Spot
 * @typedef {[t_s: number, x_mm: number, z_mm: number]} Sample
 * @typedef {{ passed: Pass, samples: Sample[], spots: Spot[] }} Taken
 */

import { get } from "./acts.js";

const MOST_SPOTS = 240;
const CREEP_PX = 24;
const FACTORS = [500, 200, 100, 50, 20, 10, 5, 2];
/** Where no held slide is watched, creep below this is the scale's own. */
const NOTHING_MM = 0.01;
const ASK_AGAIN_MS = 1000;
/** One count of flicker at the beginning must not shift the whole line. */
const STOOD_OVER = 5;

export class LastPass {
  constructor() {
    /** @type {Taken | null} */
    this.taken = null;
    this.asked = 0;
  }

  /** Asks once for each pass, beside the frames. @param {LiveState} state @returns {Taken | null} where its coordinates still hold */
  of({ last_pass, last_pass_holds }) {
    if (!last_pass || !last_pass_holds) return null;
    if (last_pass.number !== this.asked) this.ask(last_pass.number);
    return this.taken?.passed.number === last_pass.number && this.taken.samples.length > 0 ? this.taken : null;
  }

  /** @param {number} number */
  async ask(number) {
    this.asked = number;
    const detail = await get(`api/passes/${number}`);
    if (this.asked !== number) return;
    if (detail) this.taken = { passed: detail.passed, samples: detail.samples, spots: trail(detail.samples) };
    // The server did not answer: once more, a little later.
    else setTimeout(() => (this.asked = 0), ASK_AGAIN_MS);
  }
}

/** Evenly spread over the pass, its ends among them. @param {Sample[]} samples @returns {Spot[]} */
export function trail(samples) {
  const every = Math.max(1, Math.ceil(samples.length / MOST_SPOTS));
  return samples.filter((_, n) => n % every === 0 || n === samples.length - 1).map(([, x, z]) => [z, x]);
}

/** The spots about a frame, and one beyond it on either side, so that the line runs out of sight. @param {Spot[]} spots @param {import("./section_geometry.js").Frame} frame @returns {Spot[]} */
export function within(spots, { z0, z1, r0, r1 }) {
  const seen = spots.map(([z, r]) => z >= z0 && z <= z1 && r >= r0 && r <= r1);
  return spots.filter((_, n) => seen[n] || seen[n - 1] || seen[n + 1]);
}

/**
 * How many times larger creep is drawn; null where there is none beyond what the scale itself does.
 * @param {Pass} passed @param {number} scale px a mm @param {number} [warning_mm] from which the hold watch warns
 */
export function creepFactor({ creep_mm, fed_by }, scale, warning_mm = 2 * NOTHING_MM) {
  const most_mm = Math.abs(creep_mm);
  if (fed_by === "compound" || most_mm < warning_mm / 2) return null;
  return FACTORS.find((factor) => most_mm * factor * scale <= CREEP_PX) ?? null;
}

/** The surface as the held slide's creep shaped it, so many times larger, from where it stood as the pass began. @param {Pass} passed @param {Spot[]} spots @param {number} factor @returns {Spot[]} */
export function creptSpots({ feed_axis }, spots, factor) {
  const first = spots.slice(0, STOOD_OVER).map((spot) => spot[feed_axis === "X" ? 0 : 1]).sort((a, b) => a - b);
  const stood = first[Math.floor((first.length - 1) / 2)];
  /** @param {number} held */
  const larger = (held) => stood + factor * (held - stood);
  return spots.map(([z, r]) => (feed_axis === "X" ? [larger(z), r] : [z, larger(r)]));
}
