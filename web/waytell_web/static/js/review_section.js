/**
 * The half section before and after a pass (ISO 128: wide outline, narrow hatching, narrow chain centre line). What the
 * pass took off has a hatching of its own, the other way and closer.
 *
 * @typedef {import("./types").Corner} Corner
 * @typedef {import("./types").Units} Units
 * @typedef {import("./review_types").PassReview} PassReview
 * @typedef {import("./section_geometry.js").Box} Box
 * @typedef {import("./section_geometry.js").Projection} Projection
 */

import { html } from "../vendor/htm-preact-3.1.1.module.js";
import { unitWord } from "./figures.js";
import { pathOf, scaleBarLength } from "./section_geometry.js";

const MOST_WIDTH = 680;
const HEIGHT = 210;
const MARGIN = { side: 24, top: 26, bottom: 16 };

/** To scale, in the middle. @param {Corner[]} corners @param {Box} box @returns {Projection} */
export function placed(corners, box) {
  const zs = corners.map(([z]) => z);
  const rs = corners.map(([, r]) => r);
  const [z0, long, thick] = [Math.min(...zs), Math.max(...zs) - Math.min(...zs) || 1, Math.max(...rs) || 1];
  const scale = Math.min((box.width - 2 * MARGIN.side) / long, (box.height - MARGIN.top - MARGIN.bottom) / thick);
  return { scale, x0: (box.width - long * scale) / 2 - z0 * scale, y0: MARGIN.top };
}

/** Every side but those on the centre line, which are no edge of the work. @param {Projection} projection @param {Corner[]} corners */
export function edgesOf(projection, corners) {
  return corners
    .map((corner, n) => /** @type {Corner[]} */ ([corner, corners[(n + 1) % corners.length]]))
    .filter(([[, from], [, to]]) => from > 0 || to > 0)
    .map((side) => pathOf(projection, side))
    .join("");
}

/** @param {PassReview} review @param {Units} units @param {number} room_px width of the screen: the words in it keep their size */
export function section(review, units, room_px) {
  const { outline_before: before, outline_after: after, passed } = review;
  if (after.length < 3) {
    return html`<p class="none">No drawing: the outline of the work was not known. Tell the bar under Set up.</p>`;
  }
  const box = { width: Math.min(MOST_WIDTH, room_px - 24), height: HEIGHT };
  const projection = placed([...before, ...after], box);
  /** @param {Corner[]} corners */
  const closed = (corners) => (corners.length ? `${pathOf(projection, corners)}Z` : "");
  return html`<figure class="section">
    <div class="sheet">
      <svg viewBox="0 0 ${box.width} ${box.height}" role="img" aria-label="The work in half section before and after pass ${passed.number}">
        <defs>${hatching("hatch-metal", 9, 45)}${hatching("hatch-taken", 4.5, -45)}</defs>
        <path class="this-layer" d=${closed(before)} /><path fill="url(#hatch-taken)" d=${closed(before)} />
        <path class="metal" d=${closed(after)} /><path fill="url(#hatch-metal)" d=${closed(after)} />
        <path class="thin-ink" d=${edgesOf(projection, before)} />
        <path class="thick" d=${edgesOf(projection, after)} />
        <path class="centre-line" d=${`M4 ${projection.y0}H${box.width - 4}`} />
        <path class="thin-ink" d=${halfMarks(projection.y0, box.width)} />
        ${scaleBar(projection, units, box.width)}
      </svg>
    </div>
    <figcaption><i class="key taken"></i> taken off by this pass <i class="key metal"></i> left</figcaption>
  </figure>`;
}

/** @param {string} id @param {number} apart @param {number} angle */
export function hatching(id, apart, angle) {
  return html`<pattern id=${id} width=${apart} height=${apart} patternUnits="userSpaceOnUse" patternTransform="rotate(${angle})">
    <path class="thin" d="M0 0V${apart}" />
  </pattern>`;
}

/** Two short strokes at each end: only half of a symmetrical part is drawn (ISO 128-3). @param {number} y @param {number} width */
export function halfMarks(y, width) {
  return [8, 13, width - 13, width - 8].map((x) => `M${x} ${y - 7}v14`).join("");
}

/** @param {Projection} projection @param {Units} units @param {number} width */
export function scaleBar(projection, units, width) {
  const bar = scaleBarLength(projection.scale, width * 0.16, units.length === "inch");
  const [x, y] = [width - MARGIN.side - bar.mm * projection.scale, 12];
  const words = `${Number(bar.value.toPrecision(3))} ${unitWord(units)}`;
  return html`<path class="thin-ink" d=${`M${x} ${y - 5}v5h${(bar.mm * projection.scale).toFixed(1)}v-5`} />
    <text class="drawing-words" text-anchor="end" x=${x - 8} y=${y + 2}>${words}</text>`;
}
