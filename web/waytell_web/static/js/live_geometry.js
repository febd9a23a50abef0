/**
 * What of the work the live drawing shows, and where: its frame, the metal that goes, the tool point, the enlarged
 * detail. Pure.
 *
 * @typedef {import("./types").Corner} Corner
 * @typedef {import("./types").LiveState} LiveState
 * @typedef {import("./types").Operation} Operation
 * @typedef {import("./types").Tool} Tool
 * @typedef {import("./section_geometry.js").Box} Box
 * @typedef {import("./section_geometry.js").Frame} Frame
 * @typedef {import("./section_geometry.js").Projection} Projection
 */

import { lastKnown } from "./figures.js";
import { bladeWidth, pointLength, toPoint } from "./section_geometry.js";

const CLEARANCE_MM = 5;
const CHUCK_MM = 12;
const MOST_DETAIL_PX = 130;

/** What is removed, and up to where: a rectangle in Z and radius. @typedef {Frame} Region */

/**
 * The part of the plane to show: where the cutting is, room for the tool, and of the rest of the bar no more than
 * makes it plain what it is. Fixed for an operation, so that the scale does not breathe while one cuts.
 * @param {Corner[]} outline @param {Operation | null} operation @returns {Frame}
 */
export function frameFor(outline, operation) {
  const { zs, rs } = placesOf(outline, operation);
  const chuck = outline.length > 0 ? outline[0][0] : -20;
  const [z1, r1] = [Math.max(0, ...zs), Math.max(5, ...rs)]; // an empty drawing has a size, too
  const needed = operation ? Math.min(...zs) : chuck;
  const room = Math.max(CLEARANCE_MM, 0.7 * r1);
  // A face leaves room for the detail beside the bar; a long turned bar has it below.
  const below = operation?.feed_axis === "Z" ? 1.05 * r1 : 0.8 * r1;
  const z0 = needed - 0.8 * r1;
  return { z0: z0 < chuck ? chuck - CHUCK_MM : z0, z1: z1 + room, r0: -0.16 * r1, r1: r1 + Math.max(room, below) };
}

/** Every Z and radius that must be in sight. @param {Corner[]} outline @param {Operation | null} operation */
function placesOf(outline, operation) {
  // The chuck end comes into sight only where the cutting is close to it.
  const zs = outline.slice(1).map(([z]) => z);
  const rs = outline.map(([, r]) => r);
  if (operation) {
    const [feed, held] = operation.feed_axis === "X" ? [rs, zs] : [zs, rs];
    feed.push(operation.start_mm, operation.end_mm);
    held.push(operation.target_mm);
  }
  return { zs, rs };
}

/**
 * Fits a frame into a box, to scale: in the middle of its height, and to the right of the detail where there is room.
 * @param {Frame} frame @param {Box} box @returns {Projection}
 */
export function fit(frame, box) {
  const scale = Math.min(box.width / (frame.z1 - frame.z0), box.height / (frame.r1 - frame.r0));
  const spare = box.width - (frame.z1 - frame.z0) * scale;
  const left = Math.min(spare, Math.max(spare / 2, 2 * MOST_DETAIL_PX + 30));
  return {
    scale,
    x0: left - frame.z0 * scale,
    y0: (box.height - (frame.r0 + frame.r1) * scale) / 2,
  };
}

/**
 * The metal that goes, up to a size on the held axis, over the length of the feed. Which metal a cone takes depends on
 * how the compound slide is set: nothing is claimed of it.
 * @param {Operation} operation @param {number} held_mm @param {Frame} frame @param {Tool} [tool] @returns {Region}
 */
export function layerRegion(operation, held_mm, frame, tool) {
  const low = Math.min(operation.start_mm, operation.end_mm);
  const high = Math.max(operation.start_mm, operation.end_mm);
  switch (operation.kind) {
    case "facing":
      return { z0: held_mm, z1: frame.z1, r0: low, r1: frame.r1 };
    case "grooving":
    case "parting":
      return { z0: operation.target_mm, z1: operation.target_mm + bladeWidth(tool), r0: low, r1: frame.r1 };
    case "boring":
      return { z0: low, z1: Math.max(high, frame.z1), r0: frame.r0, r1: held_mm };
    case "drilling":
      return { z0: low + pointLength(operation.target_mm, tool), z1: Math.max(high, frame.z1), r0: frame.r0, r1: operation.target_mm };
    case "turning":
      // A turned layer begins at the free end, however far in front of it the feed began.
      return { z0: low, z1: Math.max(high, frame.z1), r0: held_mm, r1: frame.r1 };
    default:
      return { z0: low, z1: low, r0: 0, r1: 0 };
  }
}

/** Where the tool point is, as far as it is known. @param {LiveState} state @returns {{ z: number, r: number, sure: boolean } | null} */
export function toolPlace(state) {
  const [x, z] = ["X", "Z"].map((name) => state.axes.find((axis) => axis.axis === name)?.position);
  if (!x || !z) return null;
  const r_mm = x.good ? x.value_mm : lastKnown(x);
  const z_mm = z.good ? z.value_mm : lastKnown(z);
  if (r_mm === null || z_mm === null) return null;
  // A drill stands on the centre line, wherever the cross-slide is.
  return { z: z_mm, r: state.tool?.tool.kind === "drill" ? 0 : r_mm, sure: x.good && z.good };
}

/** @typedef {{ x: number, y: number, radius: number }} DetailLook */

/**
 * Where the enlarged detail lies, at the lower left: beside the work where that leaves room, else below it; null
 * where there is no room for one that is of use.
 * @param {Box} box @param {Projection} main @param {Frame} frame @param {number} outside_mm radius of the work @returns {DetailLook | null}
 */
export function detailFor(box, main, frame, outside_mm) {
  const below = (box.height - toPoint(main, 0, outside_mm).y - 16) / 2;
  const beside = Math.min((toPoint(main, frame.z0, 0).x - 16) / 2, box.height / 2 - 4);
  const radius = Math.min(Math.max(below, beside), 0.24 * box.width, MOST_DETAIL_PX);
  if (radius < 40) return null;
  return { x: radius + 4, y: box.height - radius - 4, radius };
}

/** @param {{ z: number, r: number }} place @param {{ x: number, y: number }} point @param {number} scale @returns {Projection} */
export function centredOn(place, point, scale) {
  return { scale, x0: point.x - place.z * scale, y0: point.y - place.r * scale };
}

/** The frame that a whole box shows under a projection. @param {Projection} projection @param {Box} box @returns {Frame} */
export function inSight({ scale, x0, y0 }, box) {
  return { z0: -x0 / scale, z1: (box.width - x0) / scale, r0: -y0 / scale, r1: (box.height - y0) / scale };
}
