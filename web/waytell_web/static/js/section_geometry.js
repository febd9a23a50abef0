/**
 * Geometry of the half section, in millimetres and in pixels of the drawing. Pure.
 *
 * The work is drawn as one sees it from where one stands: headstock on the left, the centre line at the top, the
 * tool coming from below. Z grows to the right, the radius grows downwards.
 *
 * @typedef {import("./types").Corner} Corner
 * @typedef {import("./types").Operation} Operation
 * @typedef {import("./types").Tool} Tool
 * @typedef {{ z0: number, z1: number, r0: number, r1: number }} Frame    part of the plane, in mm
 * @typedef {{ width: number, height: number }} Box                       the drawing, in px
 * @typedef {{ scale: number, x0: number, y0: number }} Projection        px a mm, and where Z 0, R 0 lies
 * @typedef {{ x: number, y: number }} Point
 */

const DEGREE = Math.PI / 180;

/** Radius of the work at its thickest; 0 where none is known. @param {Corner[]} outline */
export function outsideRadius(outline) {
  return Math.max(0, ...outline.map(([, radius]) => radius));
}

/** @param {Projection} projection @param {number} z @param {number} r @returns {Point} */
export function toPoint(projection, z, r) {
  return { x: projection.x0 + z * projection.scale, y: projection.y0 + r * projection.scale };
}

/** @param {Projection} projection @param {[number, number][]} corners */
export function pathOf(projection, corners) {
  const points = corners.map(([z, r]) => toPoint(projection, z, r));
  return points.map(({ x, y }, n) => `${n ? "L" : "M"}${x.toFixed(2)} ${y.toFixed(2)}`).join("");
}

/** The cut surface of the half section: between the outside and the bore, or the centre line. @param {Corner[]} outline @param {Corner[]} bore @returns {Corner[]} */
export function sectionCorners(outline, bore) {
  if (outline.length === 0) return [];
  /** @type {Corner[]} */
  const inside = bore.length > 0 ? bore : [[outline[0][0], 0], [outline[outline.length - 1][0], 0]];
  return [...outline, ...inside.toReversed()];
}

/** The edges of the bore that are seen: where it is solid there are none. @param {Corner[]} bore @returns {[Corner, Corner][]} */
export function boreEdges(bore) {
  return bore.slice(1).flatMap((to, n) => (to[1] > 0 || bore[n][1] > 0 ? [/** @type {[Corner, Corner]} */ ([bore[n], to])] : []));
}

/** How far the point of a drill is in front of its full diameter. @param {number} radius_mm @param {Tool} [tool] */
export function pointLength(radius_mm, tool) {
  const angle = tool?.kind === "drill" ? tool.point_angle_deg : 118;
  return radius_mm / Math.tan((angle / 2) * DEGREE);
}

/** As wide as the blade; one of no known width leaves a line to be seen. @param {Tool | undefined} tool */
export function bladeWidth(tool) {
  return tool?.kind === "grooving" ? tool.width_mm : 1;
}

/** The finished surface, from the start of the feed to its end, and the wall that it ends at. @param {Operation} operation @param {number} outside_mm @param {Tool} [tool] @returns {Corner[]} */
export function targetLine(operation, outside_mm, tool) {
  const { kind, start_mm, end_mm, target_mm } = operation;
  if (kind === "facing") return [[target_mm, start_mm], [target_mm, end_mm]];
  if (kind === "grooving" || kind === "parting") {
    const far = target_mm + bladeWidth(tool);
    return [[target_mm, start_mm], [target_mm, end_mm], [far, end_mm], [far, start_mm]];
  }
  if (kind === "taper" || kind === "chamfer") return [[end_mm, outside_mm], [end_mm, 0], [start_mm, 0], [start_mm, target_mm]];
  if (kind === "drilling") {
    // The full diameter ends where the point of the drill begins.
    const full_mm = end_mm + pointLength(target_mm, tool);
    return [[start_mm, target_mm], [full_mm, target_mm], [end_mm, 0]];
  }
  return [[start_mm, target_mm], [end_mm, target_mm], [end_mm, kind === "boring" ? 0 : outside_mm]];
}

/** A round length for the scale bar, at most `widest_px` long. @param {number} scale @param {number} widest_px @param {boolean} inch */
export function scaleBarLength(scale, widest_px, inch) {
  const unit = inch ? 25.4 : 1;
  const most = widest_px / (scale * unit);
  const power = 10 ** Math.floor(Math.log10(most));
  const round = [5, 2, 1].find((step) => step * power <= most) ?? 1;
  return { value: round * power, mm: round * power * unit };
}

/** Three-jaw chuck, hinted: the stepped end of one jaw and the end of the bar in it. @param {Corner} root @param {Frame} frame @param {Projection} projection */
export function chuckPath([z, r], frame, projection) {
  const back = frame.z0;
  const depth = z - back;
  const jaw = pathOf(projection, [
    [z, r],
    [z, r + 0.35 * depth + 1],
    [z - 0.45 * depth, r + 0.35 * depth + 1],
    [z - 0.45 * depth, r + 0.8 * depth + 2],
    [back, r + 0.8 * depth + 2],
  ]);
  return `${jaw}${pathOf(projection, [[back, r], [z, r]])}`;
}
