import assert from "node:assert/strict";
import test from "node:test";

import { creepFactor, creptSpots, trail, within } from "../../web/waytell_web/static/js/last_pass.js";
import { limitLines, nearness, STEPS, Zoom } from "../../web/waytell_web/static/js/zoom.js";
import { doubtful, FACING, good, sampleState, TAPER, TURNING } from "./sample_state.mjs";

const SCALE = 8;
const RADIUS = 120;
const times = (zoom, ...lefts) => lefts.map((left) => zoom.step(left, SCALE, RADIUS));

test("the detail grows in round steps as the distance closes", () => {
  const seen = times(new Zoom(), Infinity, 5, 1, 0.5, 0.2, 0.1, 0.05, 0.02, 0);
  assert.ok(seen.every((one, n) => STEPS.includes(one) && (n === 0 || one >= seen[n - 1])), String(seen));
  assert.equal(seen[0], 10, "0.1 mm is 8 pixels");
  assert.ok(seen.at(-1) * SCALE <= 2000);
  assert.ok(new Set(seen).size >= 4);
});

test("what is left is in sight of the detail wherever it is enlarged for it", () => {
  for (const left of [0.6, 0.3, 0.1, 0.05]) {
    const [found] = times(new Zoom(), left);
    assert.ok(left * found * SCALE <= 0.56 * RADIUS, String(left));
  }
});

test("a hand that trembles about a step does not make it breathe", () => {
  const zoom = new Zoom();
  const edge = (0.55 * RADIUS) / (20 * SCALE);
  const seen = times(zoom, ...Array.from({ length: 40 }, (_, n) => edge * (n % 2 ? 0.98 : 1.02)));
  assert.equal(new Set(seen.slice(1)).size, 1);
  assert.equal(times(zoom, 20)[0], 10, "and goes back once the tool is away");
});

test("nearness is along the feed in a pass, else to the depth, and unknown in doubt", () => {
  assert.equal(nearness(sampleState({ to_go: good(-0.4) })), 0.4);
  assert.equal(nearness(sampleState({ stroke: null, remaining: { this_pass: good(0.3), total: good(1), pass_target_mm: 0, passes_left: 2 } })), 0.3);
  assert.equal(nearness(sampleState({ to_go: doubtful(1, "stale") })), Infinity);
  assert.equal(nearness(sampleState({ stroke: null, remaining: null })), Infinity);
});

test("limits lie on both sides of the size, along the feed", () => {
  assert.deepEqual(limitLines({ ...TURNING, tolerance_mm: 0.25 }), [[[0, 7.875], [-18, 7.875]], [[0, 8.125], [-18, 8.125]]]);
  assert.deepEqual(limitLines({ ...FACING, tolerance_mm: 0.5 }), [[[-0.25, 11], [-0.25, 0]], [[0.25, 11], [0.25, 0]]]);
  assert.deepEqual(limitLines(FACING), []);
  assert.deepEqual(limitLines({ ...TAPER, tolerance_mm: 0.25 }), []);
});

const passed = { number: 3, feed_axis: "X", held_mm: -0.5, creep_mm: 0.03, fed_by: "cross" };

test("creep is drawn as large as there is room, by a round factor, and not where there is none", () => {
  assert.equal(creepFactor(passed, SCALE, 0.02), 100);
  assert.equal(creepFactor({ ...passed, creep_mm: -0.3 }, SCALE, 0.02), 10);
  assert.equal(creepFactor({ ...passed, creep_mm: 0.004 }, SCALE, 0.02), null);
  assert.equal(creepFactor({ ...passed, fed_by: "compound" }, SCALE, 0.02), null);
});

test("only the departure from where the slide stood is enlarged", () => {
  assert.deepEqual(creptSpots(passed, [[-0.5, 10], [-0.25, 5]], 10), [[-0.5, 10], [2, 5]]);
  assert.deepEqual(creptSpots({ ...passed, feed_axis: "Z" }, [[0, 8], [-4, 8.5]], 2), [[0, 8], [-4, 9]]);
});

test("a long pass is drawn by few of its places, both ends among them", () => {
  const samples = Array.from({ length: 5001 }, (_, n) => [n / 250, 12 - n / 500, -0.5]);
  const spots = trail(samples);
  assert.ok(spots.length <= 242);
  assert.deepEqual([spots[0], spots.at(-1)], [[-0.5, 12], [-0.5, 12 - 10]]);
});

test("of a long pass only what is in sight is drawn, and runs out of it on both sides", () => {
  const spots = Array.from({ length: 21 }, (_, n) => [-0.5, 10 - n / 2]);
  assert.deepEqual(within(spots, { z0: -1, z1: 0, r0: 4.9, r1: 6.1 }).map(([, r]) => r), [6.5, 6, 5.5, 5, 4.5]);
  assert.deepEqual(within(spots, { z0: 1, z1: 2, r0: 0, r1: 20 }), []);
});
