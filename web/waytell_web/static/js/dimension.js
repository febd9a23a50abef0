/**
 * Dimension lines with arrowheads (ISO 129-1) for the distance to go. Pure: from places to paths.
 *
 * @typedef {import("./types").Operation} Operation
 * @typedef {import("./section_geometry.js").Frame} Frame
 * @typedef {import("./section_geometry.js").Projection} Projection
 * @typedef {{ z: number, r: number }} Place
 * @typedef {{ line: string, arrows: string }} Dimension
 */

import { toPoint } from "./section_geometry.js";

const HEAD_PX = 12;
// Two heads and a little line between them; below it the line alone must do.
const ROOM_PX = 2 * HEAD_PX + 2;

/** @param {Place} place @param {Operation} operation @param {Frame} frame @param {Projection} projection @returns {Dimension} */
export function acrossDimension(place, operation, frame, projection) {
  const from = toPoint(projection, place.z, place.r);
  const to = toPoint(projection, place.z, operation.end_mm);
  const x = toPoint(projection, frame.z1, 0).x - 26;
  return {
    line: `M${from.x + 6} ${from.y}H${x + 8}M${to.x + 6} ${to.y}H${x + 8}M${x} ${from.y}V${to.y}`,
    arrows: arrow(x, from.y, 0, 1, from.y - to.y) + arrow(x, to.y, 0, -1, from.y - to.y),
  };
}

/** @param {Place} place @param {Operation} operation @param {Frame} frame @param {Projection} projection @returns {Dimension} */
export function alongDimension(place, operation, frame, projection) {
  const from = toPoint(projection, place.z, place.r);
  const to = toPoint(projection, operation.end_mm, place.r);
  // Above the centre line, where neither work nor tool is.
  const y = (toPoint(projection, 0, frame.r0).y + toPoint(projection, 0, 0).y) / 2;
  return {
    line: `M${from.x} ${from.y - 6}V${y - 8}M${to.x} ${to.y - 6}V${y - 8}M${from.x} ${y}H${to.x}`,
    arrows: arrow(from.x, y, 1, 0, from.x - to.x) + arrow(to.x, y, -1, 0, from.x - to.x),
  };
}

/** A filled head at a point, in the direction (dx, dy); none where there is no room. @param {number} x @param {number} y @param {number} dx @param {number} dy @param {number} room_px */
function arrow(x, y, dx, dy, room_px) {
  if (Math.abs(room_px) < ROOM_PX) return "";
  const [bx, by] = [x - HEAD_PX * dx, y - HEAD_PX * dy];
  return `M${x} ${y}L${bx - 4 * dy} ${by - 4 * dx}L${bx + 4 * dy} ${by + 4 * dx}Z`;
}
