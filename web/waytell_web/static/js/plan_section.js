/**
 * The half section of a set-up (ISO 128): the part with a wide outline and hatching, the bar as it went in with a
 * narrow double-dot chain line (initial outlines before forming), what is there now with a narrow line; and the
 * chosen feature or operation with a heavy line, a leader and its words.
 *
 * @typedef {import("./plan_types").Feature} Feature
 * @typedef {import("./plan_types").PlannedStep} PlannedStep
 * @typedef {import("./plan_types").SetUpPlan} SetUpPlan
 * @typedef {import("./section_geometry.js").Box} Box
 * @typedef {import("./section_geometry.js").Projection} Projection
 * @typedef {import("./types").Corner} Corner
 * @typedef {import("./types").Tool} Tool
 * @typedef {import("./types").Units} Units
 *
 * @typedef {{ lines: Corner[][], words: string }} Emphasis
 */

import { html } from "../vendor/htm-preact-3.1.1.module.js";
import { edgesOf, halfMarks, hatching, placed, scaleBar } from "./review_section.js";
import { chuckPath, pathOf, targetLine, toPoint } from "./section_geometry.js";

const LABEL_PX = 20;
const LETTER_PX = 9; // about as wide as a bold letter of the words in a drawing

/** Largest and least radius of a closed section at a place. @param {Corner[]} corners @param {number} z @returns {[least: number, largest: number]} */
export function radiiAt(corners, z) {
  const found = corners.flatMap(([z0, r0], n) => {
    const [z1, r1] = corners[(n + 1) % corners.length];
    if (z < Math.min(z0, z1) || z > Math.max(z0, z1)) return [];
    return z0 === z1 ? [r0, r1] : [r0 + ((r1 - r0) * (z - z0)) / (z1 - z0)];
  });
  return found.length ? [Math.min(...found), Math.max(...found)] : [0, 0];
}

/** @param {unknown} size a length, or a size with limits @returns {number} */
const mmOf = (size) => (typeof size === "number" ? size : /** @type {{ mm: number }} */ (size).mm);

/** The surfaces that a feature makes. @param {Feature} feature @param {SetUpPlan} setUp @returns {Corner[][]} */
export function featureLines(feature, { stock, target }) {
  const outside = Math.max(...stock.map(([, r]) => r));
  const at = (/** @type {string} */ name) => -mmOf(feature[name]);
  const radius = (/** @type {string} */ name) => mmOf(feature[name]) / 2;
  switch (feature.kind) {
    case "face":
      return [[[0, radiiAt(target, -1e-3)[0]], [0, outside]]];
    case "turned":
      return [[[at("from_mm"), radius("diameter")], [at("to"), radius("diameter")], [at("to"), radiiAt(target, at("to") - 1e-3)[1]]]];
    case "hole":
      return [[[0, radius("diameter_mm")], [at("to_mm"), radius("diameter_mm")], [at("to_mm"), 0]]];
    case "bore":
      return [[[0, radius("diameter")], [at("to"), radius("diameter")]]];
    case "taper":
      return [[[at("from_mm"), radius("diameter")], [at("to_mm"), radius("end_diameter_mm")]]];
    case "groove":
      return [[[at("from_mm"), outside], [at("from_mm"), radius("diameter")], [at("to_mm"), radius("diameter")], [at("to_mm"), outside]]];
    case "chamfer":
      return [chamferLine(feature, target)];
    default:
      return [[[at("at_mm"), 0], [at("at_mm"), outside]]];
  }
}

/** @param {Feature} feature @param {Corner[]} target @returns {Corner[]} */
function chamferLine(feature, target) {
  const [z, size] = [-mmOf(feature.at_mm), mmOf(feature.size_mm)];
  const [bore, outside] = radiiAt(target, z - size - 1e-3);
  return feature.where === "inside" ? [[z - size, bore], [z, bore + size]] : [[z - size, outside], [z, outside - size]];
}

/** What the passes of an operation still take, as a closed corner list; none for cones. @param {PlannedStep} step @returns {Corner[]} */
export function stepLayer({ operation, passes }) {
  const { kind, start_mm, end_mm, target_mm } = operation;
  if (passes.length === 0 || kind === "taper" || kind === "chamfer") return [];
  const before = passes[0].at_mm + (kind === "boring" ? -1 : 1) * passes[0].depth_mm;
  if (kind === "facing") return box(target_mm, before, end_mm, start_mm);
  if (kind === "turning" || kind === "boring") return box(end_mm, start_mm + (start_mm === 0 ? 2 : 0), target_mm, before);
  return kind === "drilling" ? box(end_mm, start_mm, 0, target_mm) : [];
}

/** @param {number} z0 @param {number} z1 @param {number} r0 @param {number} r1 @returns {Corner[]} */
function box(z0, z1, r0, r1) {
  return [[z0, r0], [z1, r0], [z1, r1], [z0, r1]];
}

/** The finished surface of an operation: of cones and chamfers that of their feature. @param {PlannedStep} step @param {SetUpPlan} setUp @param {Feature[]} features @param {Tool} [tool] @returns {Corner[][]} */
export function stepLines({ operation, features: numbers }, setUp, features, tool) {
  if (operation.kind === "taper" || operation.kind === "chamfer") return numbers.flatMap((n) => featureLines(features[n - 1], setUp));
  return [targetLine(operation, Math.max(...setUp.stock.map(([, r]) => r)), tool)];
}

// -- drawing ------------------------------------------------------------------------------------------------------------

/** `ends_mm`: Z where the part is parted off; what is nearer the headstock is bar. @param {{ setUp: SetUpPlan, ends_mm: number | null, layer: Corner[], emphasis: Emphasis | null, units: Units, box: Box }} inputs */
export function planSection({ setUp, ends_mm, layer, emphasis, units, box: room }) {
  const { stock, now, target, out_mm } = setUp;
  const thick = Math.max(...stock.map(([, r]) => r));
  const front = Math.max(...stock.map(([z]) => z));
  const back = -out_mm - 0.4 * thick - 4;
  /** @type {Corner[]} */
  const seen = [...stock, [back, 0], [back, thick * 1.25], [front + (setUp.tailstock ? 0.8 * thick : 0.1 * thick), 0]];
  const projection = placed(seen, { ...room, height: room.height - LABEL_PX });
  const closed = (/** @type {Corner[]} */ corners) => (corners.length ? `${pathOf(projection, corners)}Z` : "");
  const from = toPoint(projection, ends_mm ?? back, 0).x;
  const floor = room.height - LABEL_PX;
  const moved = closed(now) !== closed(stock);
  return html`<svg viewBox="0 0 ${room.width} ${room.height}" role="img" aria-label="Set-up ${setUp.number} in half section">
    <defs>${hatching("hatch-part", 9, 45)}${hatching("hatch-step", 4.5, -45)}<clipPath id="there-now"><path d=${closed(now)} /></clipPath>
      <clipPath id="above-words"><path d=${`M0 0H${room.width}V${floor}H0Z`} /></clipPath>
      <clipPath id="the-part"><path d=${`M${from} 0H${room.width}V${floor}H${from}Z`} /></clipPath></defs>
    <path class="left-to-take" data-now d=${closed(now)} />
    ${layer.length > 0 && html`<g clip-path="url(#there-now)"><path class="this-layer" d=${closed(layer)} /><path fill="url(#hatch-step)" d=${closed(layer)} /></g>`}
    <path class="metal" data-target d=${closed(target)} /><path fill="url(#hatch-part)" clip-path="url(#the-part)" d=${closed(target)} />
    ${moved && html`<path class="thin-ink" d=${edgesOf(projection, now)} />`}
    <path class="before-forming" data-stock d=${edgesOf(projection, stock)} />
    <path class="thick" d=${edgesOf(projection, target)} />
    ${ends_mm !== null && html`<path class="thick" d=${pathOf(projection, radiiAt(target, ends_mm).map((r) => [ends_mm, r]))} />`}
    <path class="chuck" clip-path="url(#above-words)" d=${chuckPath([-out_mm, thick], { z0: back, z1: 0, r0: 0, r1: thick }, projection)} />
    ${setUp.tailstock && html`<path class="chuck" d=${centrePath(front, thick, projection)} />`}
    <path class="centre-line" d=${`M4 ${projection.y0}H${room.width - 4}`} />
    <path class="thin-ink" d=${halfMarks(projection.y0, room.width)} />
    ${emphasis && emphasised(emphasis, projection, room)}
    ${scaleBar(projection, units, room.width)}
  </svg>`;
}

/** The point of a centre in the tailstock, 60 degrees. @param {number} front @param {number} thick @param {Projection} projection */
function centrePath(front, thick, projection) {
  const r = 0.4 * thick;
  return pathOf(projection, [[front, 0], [front + r * Math.sqrt(3), r], [front + 0.8 * thick, r]]);
}

/** A heavy line, a leader from its middle, and the words under the work. @param {Emphasis} emphasis @param {Projection} projection @param {Box} room */
function emphasised({ lines, words }, projection, room) {
  const longest = lines[0] ?? [];
  if (longest.length < 2) return "";
  const [[z0, r0], [z1, r1]] = longest;
  const from = toPoint(projection, (z0 + z1) / 2, (r0 + r1) / 2);
  const y = room.height - 4;
  const wide = words.length * LETTER_PX;
  const x = Math.max(4, Math.min(from.x - wide / 2, room.width - wide - 4));
  return html`<g data-emphasis>
    <path class="chosen-line" d=${lines.map((line) => pathOf(projection, line)).join("")} />
    <circle class="leader-dot" cx=${from.x.toFixed(1)} cy=${from.y.toFixed(1)} r="4.5" />
    <path class="thin-ink" d=${`M${from.x.toFixed(1)} ${from.y.toFixed(1)}V${y - 14}`} />
    <text class="drawing-words chosen-words" x=${x.toFixed(1)} y=${y}>${words}</text>
  </g>`;
}
