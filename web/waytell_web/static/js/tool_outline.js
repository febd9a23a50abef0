/**
 * The outline of a tool around its control point: the corner where the tangents parallel to X and Z meet, of a grooving
 * tool that nearer the headstock, of a drill its point.
 *
 * Edge directions follow ISO 3002-1: the cutting-edge angle is measured from the direction of feed, which for a
 * right-hand tool is towards the headstock; the other edge lies the point angle further round.
 *
 * @typedef {import("./types").Tool} Tool
 * @typedef {[z_mm: number, radius_mm: number]} Spot
 */

import { pointLength } from "./section_geometry.js";

const DEGREE = Math.PI / 180;
const ARC_STEPS = 12;

/** @param {number} angle @returns {Spot} */
const unit = (angle) => [Math.cos(angle), Math.sin(angle)];

/** @param {Spot} from @param {Spot} way @param {number} length @returns {Spot} */
const step = (from, way, length) => [from[0] + way[0] * length, from[1] + way[1] * length];

/**
 * Corners of the cutting part, relative to the control point, with edges of the given length.
 * @param {Tool} tool @param {number} edge_mm @returns {Spot[]}
 */
export function toolOutline(tool, edge_mm) {
  if (tool.kind === "grooving") return blade(tool.width_mm, edge_mm);
  if (tool.kind === "drill") return drill(tool, edge_mm);
  const corners = edges(tool, edge_mm);
  return tool.kind === "boring" ? corners.map(([z, r]) => [z, -r]) : corners;
}

/** @param {number} width @param {number} length @returns {Spot[]} */
function blade(width, length) {
  return [[0, length], [0, 0], [width, 0], [width, length]];
}

/** Half of it, as of the work. @param {Tool} tool @param {number} edge_mm @returns {Spot[]} */
function drill(tool, edge_mm) {
  const radius = tool.diameter_mm / 2;
  const point = pointLength(radius, tool);
  return [[0, 0], [point, radius], [point + edge_mm, radius], [point + edge_mm, 0]];
}

/** Of a tool that cuts outside. @param {Tool} tool @param {number} edge_mm @returns {Spot[]} */
function edges(tool, edge_mm) {
  const major = (180 - tool.approach_angle_deg) * DEGREE;
  const minor = major - tool.point_angle_deg * DEGREE;
  const nose = tool.nose_radius_mm;
  /** @type {Spot} */
  const centre = [nose, nose];
  const arc = noseArc(centre, nose, major, minor);
  const first = step(arc[0], unit(major), edge_mm);
  const last = step(arc[arc.length - 1], unit(minor), edge_mm);
  const back = step(first, unit(minor), edge_mm);
  const corners = [first, ...arc, last, back];
  return tool.hand === "left" ? corners.map(([z, r]) => [-z, r]) : corners;
}

/** The rounded point from the one edge to the other; a sharp point is one corner. @param {Spot} centre @param {number} nose @param {number} major @param {number} minor @returns {Spot[]} */
function noseArc(centre, nose, major, minor) {
  if (nose === 0) return [[0, 0]];
  // The outward normals of the two edges, on the side away from the tool.
  const from = major + Math.PI / 2;
  const to = minor + 1.5 * Math.PI;
  const angles = Array.from({ length: ARC_STEPS + 1 }, (_, n) => from + ((to - from) * n) / ARC_STEPS);
  return angles.map((angle) => step(centre, unit(angle), nose));
}

/**
 * The shank behind the cutting part, up to `far_mm` out.
 * @param {Tool} tool @param {number} edge_mm @param {number} far_mm @returns {Spot[]}
 */
export function shankOutline(tool, edge_mm, far_mm) {
  if (tool.kind === "boring") return along(0.5 * edge_mm, -0.9 * edge_mm, -0.22 * edge_mm, far_mm);
  if (tool.kind === "drill") return along(edge_mm, 0, 0.45 * tool.diameter_mm, far_mm);
  if (tool.kind === "grooving") return [[-0.15 * edge_mm, far_mm], [-0.15 * edge_mm, edge_mm], [tool.width_mm + 0.55 * edge_mm, edge_mm], [tool.width_mm + 0.55 * edge_mm, far_mm]];
  const side = tool.hand === "left" ? -1 : 1;
  const [from, to] = [0.14 * edge_mm * side, 0.98 * edge_mm * side];
  return [
    [from, 0.8 * edge_mm],
    [from, far_mm],
    [to, far_mm],
    [to, 0.8 * edge_mm],
  ];
}

/** A bar from the edge on, away from the headstock. @param {number} from @param {number} r0 @param {number} r1 @param {number} far_mm @returns {Spot[]} */
function along(from, r0, r1, far_mm) {
  return [[far_mm, r0], [from, r0], [from, r1], [far_mm, r1]];
}
