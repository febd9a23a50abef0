import assert from "node:assert/strict";
import test from "node:test";
import { pointLength } from "../../web/waytell_web/static/js/section_geometry.js";
import { toolOutline } from "../../web/waytell_web/static/js/tool_outline.js";
import { BLADE, DRILL, TOOL } from "./sample_state.mjs";

const least = (spots, n) => Math.min(...spots.map((spot) => spot[n]));

test("the control point is where the tangents parallel to X and Z meet", () => {
  const spots = toolOutline({ ...TOOL, approach_angle_deg: 93, point_angle_deg: 80 }, 5);
  assert.ok(Math.abs(least(spots, 0)) < 0.01, "foremost along");
  assert.ok(Math.abs(least(spots, 1)) < 0.01, "foremost across");
});

test("a sharp tool has its point at the control point", () => {
  const spots = toolOutline({ ...TOOL, nose_radius_mm: 0 }, 5);
  assert.ok(spots.some(([z, r]) => z === 0 && r === 0));
  assert.equal(spots.length, 4);
});

test("at 93 degrees the edge leans back from the shoulder, at 45 it leads", () => {
  const end = (approach_angle_deg) => toolOutline({ ...TOOL, nose_radius_mm: 0, approach_angle_deg }, 10)[0];
  assert.ok(end(93)[0] > 0);
  assert.ok(Math.abs(end(45)[0] + end(45)[1]) < 1e-9 && end(45)[0] < 0);
});

test("a left-hand tool is the mirror image", () => {
  const right = toolOutline(TOOL, 5);
  const left = toolOutline({ ...TOOL, hand: "left" }, 5);
  assert.deepEqual(left, right.map(([z, r]) => [-z, r]));
});

test("a boring tool is a turning tool that looks outwards", () => {
  assert.deepEqual(toolOutline({ ...TOOL, kind: "boring" }, 5), toolOutline(TOOL, 5).map(([z, r]) => [z, -r]));
});

test("a blade is as wide as its edge, its control point at the corner nearer the headstock", () => {
  const spots = toolOutline(BLADE, 5);
  assert.deepEqual([least(spots, 0), Math.max(...spots.map(([z]) => z)), least(spots, 1)], [0, 2, 0]);
});

test("a drill of 8 mm has a point of 118 degrees at its control point", () => {
  const spots = toolOutline(DRILL, 5);
  assert.deepEqual(spots[0], [0, 0]);
  assert.equal(Math.max(...spots.map(([, r]) => r)), 4);
  // Twice the angle between axis and edge.
  assert.ok(Math.abs(2 * Math.atan2(spots[1][1], spots[1][0]) - (118 * Math.PI) / 180) < 1e-9);
  assert.ok(Math.abs(pointLength(4, DRILL) - 2.4034) < 1e-4, "4 / tan 59 degrees");
});
