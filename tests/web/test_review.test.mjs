/** The Review page's pure parts: words and numbers, filters, what the charts show, the section, the small traces. */

import assert from "node:assert/strict";
import test from "node:test";

import { timeWords } from "../../web/waytell_web/static/js/figures.js";
import { edgesOf, placed } from "../../web/waytell_web/static/js/review_section.js";
import { creepSeries, motionSeries, rangeWords, runOf, speedSeries } from "../../web/waytell_web/static/js/review_series.js";
import { sparkPoints, sparkScale } from "../../web/waytell_web/static/js/review_spark.js";
import * as words from "../../web/waytell_web/static/js/review_words.js";
import { sampleState } from "./sample_state.mjs";

const DIAMETER = { length: "mm", x_as: "diameter" };
const INCH = { length: "inch", x_as: "radius" };
const PASS = {
  number: 3, kind: "turning", role: "finish", operation: "turn the bush", tool: "turning tool", set_up: 1, part: 2, feed_axis: "Z",
  fed_by: "carriage", start_mm: 0, end_mm: -20, held_mm: 9, depth_mm: 0.25, creep_mm: -0.0102, creep_at_mm: -7, came_back: false,
  overrun_mm: 0, feed_mm_min: 50.8, duration_s: 75, doubts: [],
};
const CHOICE = { screen: "passes", chosen: null, part: "", set_up: "", operation: "" };
const state = (units) => sampleState({ units });

test("depth goes with the size, creep with the slide", () => {
  assert.equal(words.depthText(state(DIAMETER), PASS), "\u2300\u00a00.50");
  // How far a slide moved is never doubled.
  assert.equal(words.creepText(state(DIAMETER), PASS), "\u22120.01");
  assert.equal(words.depthText(state(INCH), PASS), "R\u00a00.0098");
  assert.equal(words.depthText(state(DIAMETER), { ...PASS, depth_mm: null }), "\u2013");
});

test("feed and way are told in the units of the person", () => {
  assert.equal(words.feedText(DIAMETER, 50.8), "51 mm/min");
  assert.equal(words.feedText(INCH, 50.8), "2.00 inch/min");
  assert.equal(words.wayText(state(DIAMETER), PASS), "0.00 \u2192 \u221220.00");
  assert.equal(words.wayText(state(DIAMETER), { ...PASS, feed_axis: "X", start_mm: 12, end_mm: 0 }), "\u2300\u00a024.00 \u2192 \u2300\u00a00.00");
});

test("25.4 micrometres of creep are one thousandth of an inch", () => {
  assert.equal(words.creepShown(INCH, 25.4), 1);
  assert.equal(words.creepShown(DIAMETER, 25.4), 25.4);
});

test("times are told in hours only where there are some", () => {
  assert.deepEqual([null, 4.4, 75, 3720].map(timeWords), ["not known", "4 s", "1 min 15 s", "1 h 2 min"]);
});

test("a size comes with its uncertainty, rounded up, where there is one", () => {
  const size = { part: 1, operation: "turn", axis: "X", at_mm: 8.991, u_mm: 0.0021, low_mm: null, high_mm: null, verdict: "open", wall: "", counts: true };
  assert.equal(words.sizeText(state(DIAMETER), size), "\u2300\u00a017.982 \u00b1 0.005");
  assert.equal(words.sizeText(state(DIAMETER), { ...size, u_mm: 0 }), "\u2300\u00a017.982");
});

test("every verdict has words, and those on limits a sign of their own", () => {
  assert.ok(Object.values(words.VERDICTS).every(({ words: said }) => said.length > 3));
  assert.notEqual(words.VERDICTS.within.sign, words.VERDICTS.outside.sign);
});

test("passes are filtered, newest first; the newest is shown where none is chosen", () => {
  const passes = [{ ...PASS, number: 1, part: 1 }, { ...PASS, number: 2, part: 2 }, { ...PASS, number: 3, part: 2, operation: "face" }];
  const numbers = (choice) => words.filtered(passes, { ...CHOICE, ...choice }).map(({ number }) => number);
  assert.deepEqual(numbers({}), [3, 2, 1]);
  assert.deepEqual(numbers({ part: "2" }), [3, 2]);
  assert.deepEqual(numbers({ part: "2", operation: "turn the bush" }), [2]);
  assert.deepEqual(numbers({ set_up: "9" }), []);
  assert.equal(words.chosenPass(passes, CHOICE).number, 3);
  assert.equal(words.chosenPass(passes, { ...CHOICE, chosen: 1 }).number, 1);
  assert.equal(words.chosenPass(passes, { ...CHOICE, part: "1" }).number, 1);
  assert.equal(words.chosenPass([], CHOICE), null);
  assert.deepEqual(words.values(passes, "operation"), ["turn the bush", "face"]);
});

test("the address says where the page stands, and leads back there", () => {
  for (const place of [{ screen: "passes", chosen: 12 }, { screen: "passes", chosen: null }, { screen: "parts", chosen: null }, { screen: "files", chosen: null }]) {
    assert.deepEqual(words.placeAt(words.addressOf({ ...CHOICE, ...place })), place);
  }
  assert.deepEqual(words.placeAt("#nonsense/-4"), { screen: "passes", chosen: null });
});

const REVIEW = {
  passed: PASS, held_axis: "X", words: "", doubted: [], shape: null, outline_before: [], outline_after: [],
  samples: [[0, 9, 0], [1, 9, -10], [2, 9.01, -20]],
  creep_um: [[0, 0], [-10, 0], [-20, 10]],
  speed: [[0, 600], [-10, 600], [-20, 600]],
};

test("charts run in the order of their places and show the person's units", () => {
  const creep = creepSeries(REVIEW, INCH);
  assert.deepEqual(creep.places.map((one) => Number(one.toFixed(4))), [-0.7874, -0.3937, 0]);
  assert.deepEqual(creep.lines[0].values.map((one) => Number(one.toFixed(4))), [0.3937, 0, 0]);
  assert.match(creep.across, /fed \u2190/);
  assert.match(creep.title, /cross-slide/);
  const motion = motionSeries(REVIEW, DIAMETER);
  assert.deepEqual(motion.lines[0].values, [18, 18, 18.02]);
  assert.notEqual(motion.lines[0].look, motion.lines[1].look);
  assert.equal(Number(speedSeries(REVIEW, INCH).lines[0].values[0].toFixed(3)), 23.622);
});

test("a chart is told in words, too", () => {
  assert.equal(rangeWords({ label: "creep", values: [0, null, 12.3456] }), "creep: 0 to 12.35");
  assert.equal(rangeWords({ label: "creep", values: [] }), "creep: nothing known");
});

test("a run of sizes takes the last measurement of each part and marks what is outside", () => {
  const size = { operation: "turn", axis: "X", u_mm: 0.001, low_mm: 8.98, high_mm: 9, wall: "" };
  const parts = [
    { number: 1, sizes: [{ ...size, part: 1, at_mm: 9.5, verdict: "outside", counts: false }, { ...size, part: 1, at_mm: 8.99, verdict: "within", counts: true }] },
    { number: 2, sizes: [{ ...size, part: 2, at_mm: 9.01, verdict: "outside", counts: true }] },
  ];
  const run = runOf(parts, { operation: "turn", axis: "X", low_mm: 8.98, high_mm: 9, mean_mm: 9 }, DIAMETER);
  assert.deepEqual(run.points, [
    { part: 1, value: 17.98, u: 0.002, outside: false },
    { part: 2, value: 18.02, u: 0.002, outside: true },
  ]);
  assert.deepEqual([run.low, run.high, run.mean], [17.96, 18, 18]);
});

test("small traces share one scale, and a steady slide stays nearly straight", () => {
  assert.equal(sparkScale([[0, 5], [2]]), 20);
  assert.equal(sparkScale([[0, -80], [2]]), 80);
  assert.equal(sparkPoints([0, 20], 20), "0.0,18.0 120.0,2.0");
  assert.equal(sparkPoints([0, -20], 20), "0.0,18.0 120.0,34.0");
});

test("the section is drawn to scale, the centre line is no edge", () => {
  const corners = [[-40, 0], [-40, 12], [0, 12], [0, 0]];
  const place = placed(corners, { width: 680, height: 210 });
  assert.ok(40 * place.scale <= 680 && 12 * place.scale <= 210);
  assert.equal(edgesOf(place, corners).match(/M/g).length, 3);
});
