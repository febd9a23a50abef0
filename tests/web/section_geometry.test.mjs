import assert from "node:assert/strict";
import test from "node:test";
import * as live from "../../web/waytell_web/static/js/live_geometry.js";
import * as section from "../../web/waytell_web/static/js/section_geometry.js";
import { acrossDimension, alongDimension } from "../../web/waytell_web/static/js/dimension.js";
import { BLADE, BORING, DRILL, DRILLING, doubtful, FACING, good, GROOVING, OPERATIONS, OUTLINE, sampleState, TAPER, TURNING } from "./sample_state.mjs";

const geometry = { ...section, ...live };

const BOX = { width: 600, height: 350 };

test("the drawing is to scale: a millimetre is as long along as across", () => {
  const projection = geometry.fit({ z0: -20, z1: 10, r0: -2, r1: 20 }, BOX);
  const origin = geometry.toPoint(projection, 0, 0);
  assert.ok(Math.abs(geometry.toPoint(projection, 1, 0).x - origin.x - projection.scale) < 1e-9);
  assert.ok(Math.abs(geometry.toPoint(projection, 0, 1).y - origin.y - projection.scale) < 1e-9);
});

test("the whole frame lies inside the box, and fills it one way", () => {
  const frame = { z0: -20, z1: 10, r0: -2, r1: 20 };
  const projection = geometry.fit(frame, BOX);
  const [from, to] = [geometry.toPoint(projection, frame.z0, frame.r0), geometry.toPoint(projection, frame.z1, frame.r1)];
  assert.ok(from.x >= -1e-9 && from.y >= -1e-9 && to.x <= BOX.width + 1e-9 && to.y <= BOX.height + 1e-9);
  assert.ok(Math.abs(to.y - from.y - BOX.height) < 1e-9 || Math.abs(to.x - from.x - BOX.width) < 1e-9);
});

for (const operation of OPERATIONS) {
  test(`${operation.kind}: start, end and target are in sight`, () => {
    const frame = geometry.frameFor(OUTLINE, operation);
    const corners = geometry.targetLine(operation, 11);
    for (const [z, r] of corners) assert.ok(z > frame.z0 && z < frame.z1 && r > frame.r0 && r < frame.r1, `${z} ${r}`);
  });
}

test("the scale does not breathe while the outline is cut back", () => {
  const cut = [[-34, 11], [0.1, 11], [0.1, 5], [0.4, 5]];
  assert.deepEqual(geometry.frameFor(cut, FACING), geometry.frameFor(OUTLINE, FACING));
});

test("the chuck comes into sight only where the cutting is close to it", () => {
  assert.ok(geometry.frameFor(OUTLINE, FACING).z0 > -34);
  assert.ok(geometry.frameFor(OUTLINE, { ...TURNING, end_mm: -30 }).z0 < -34);
});

test("without work and operation there is still a drawing", () => {
  const frame = geometry.frameFor([], null);
  assert.ok(frame.z1 > frame.z0 && frame.r1 > frame.r0);
  assert.deepEqual(geometry.sectionCorners([], []), []);
});

test("a section is closed along the bore", () => {
  assert.deepEqual(geometry.sectionCorners([[-10, 8], [0, 8]], [[-10, 3], [0, 3]]), [[-10, 8], [0, 8], [0, 3], [-10, 3]]);
  assert.deepEqual(geometry.sectionCorners([[-10, 8], [0, 8]], []), [[-10, 8], [0, 8], [0, 0], [-10, 0]]);
});

/** Area of a closed polygon by the shoelace formula. */
const area = (corners) => Math.abs(corners.reduce((sum, [z, r], n) => sum + z * corners[(n + 1) % corners.length][1] - corners[(n + 1) % corners.length][0] * r, 0) / 2);

test("hatched is only the metal between bore and outside", () => {
  const blind = [[-30, 0], [-12, 0], [-12, 4], [0, 4]];
  assert.equal(area(geometry.sectionCorners([[-30, 11], [0, 11]], blind)), 30 * 11 - 12 * 4);
});

test("a blind bore has a bottom and a wall, and no line where the bar is solid", () => {
  const edges = geometry.boreEdges([[-30, 0], [-12, 0], [-12, 4], [0, 4]]);
  assert.deepEqual(edges, [[[-12, 0], [-12, 4]], [[-12, 4], [0, 4]]]);
  assert.deepEqual(geometry.boreEdges([]), []);
});

test("what goes lies inside the bore's size, or as wide as the blade, and nothing is claimed of a cone", () => {
  const frame = geometry.frameFor(OUTLINE, BORING);
  const inside = geometry.layerRegion(BORING, 5.5, frame);
  assert.deepEqual([inside.z0, inside.r1], [-12, 5.5]);
  const groove = geometry.layerRegion(GROOVING, -11, frame, BLADE);
  assert.deepEqual([groove.z0, groove.z1, groove.r0], [-12, -10, 9]);
  const hole = geometry.layerRegion(DRILLING, 4, frame, DRILL);
  assert.ok(Math.abs(hole.z0 - (-20 + 4 / Math.tan((59 * Math.PI) / 180))) < 1e-9, "the full diameter ends before the point");
  const cone = geometry.layerRegion(TAPER, 9, frame);
  assert.equal((cone.z1 - cone.z0) * (cone.r1 - cone.r0), 0);
});

test("a drill stands on the centre line wherever the cross-slide is", () => {
  assert.equal(geometry.toolPlace(sampleState({ tool: { tool: DRILL, touched_x: true, touched_z: true } })).r, 0);
});

test("the layer of a pass begins exactly at the held size", () => {
  const frame = geometry.frameFor(OUTLINE, FACING);
  assert.equal(geometry.layerRegion(FACING, 0.1, frame).z0, 0.1);
  assert.equal(geometry.layerRegion(TURNING, 9.12, frame).r0, 9.12);
  assert.equal(geometry.layerRegion(TURNING, 9.12, frame).z0, -18);
});

test("the tool has a place only where both axes have one, and is sure only where both are good", () => {
  const state = sampleState();
  const [x, z] = state.axes;
  const withX = (position) => ({ ...state, axes: [{ ...x, position }, z] });
  assert.deepEqual(geometry.toolPlace(state), { z: 0.1, r: 8, sure: true });
  assert.equal(geometry.toolPlace(withX(doubtful(null, "not_referenced"))), null);
  assert.equal(geometry.toolPlace(withX(doubtful(8, "stale"))).sure, false);
  assert.equal(geometry.toolPlace(withX(good(5))).r, 5);
});

test("the scale bar is a round length that fits", () => {
  for (const scale of [0.7, 3, 14, 90]) {
    const bar = geometry.scaleBarLength(scale, 120, false);
    assert.ok(bar.mm * scale <= 120 && bar.mm * scale > 40);
    assert.match(String(Number(bar.value.toPrecision(3))), /^0?\.?0*[125]0*$/);
  }
  assert.equal(geometry.scaleBarLength(10, 300, true).mm, 25.4);
});

test("the detail shows the tool point at its centre and lies inside the drawing", () => {
  const frame = geometry.frameFor(OUTLINE, FACING);
  const main = geometry.fit(frame, BOX);
  const look = geometry.detailFor(BOX, main, frame, 11);
  assert.ok(look.x - look.radius >= 0 && look.y + look.radius <= BOX.height);
  const projection = geometry.centredOn({ z: 0.1, r: 8 }, look, main.scale * 10);
  const { x, y } = geometry.toPoint(projection, 0.1, 8);
  assert.ok(Math.hypot(x - look.x, y - look.y) < 1e-9);
  assert.equal(geometry.detailFor({ width: 120, height: 90 }, geometry.fit(frame, { width: 120, height: 90 }), frame, 11), null);
});

test("the dimension reaches from the tool to the end of the feed", () => {
  const frame = geometry.frameFor(OUTLINE, FACING);
  const main = geometry.fit(frame, BOX);
  const across = acrossDimension({ z: 0.1, r: 8 }, FACING, frame, main);
  assert.ok(across.line.includes(`V${geometry.toPoint(main, 0, 0).y}`));
  assert.notEqual(across.arrows, "");
  const along = alongDimension({ z: -5, r: 9 }, TURNING, frame, main);
  assert.ok(along.line.endsWith(`H${geometry.toPoint(main, -18, 0).x}`));
  assert.equal(acrossDimension({ z: 0.1, r: 0.2 }, FACING, frame, main).arrows, "", "no room for heads");
});
