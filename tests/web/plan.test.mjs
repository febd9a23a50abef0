/** The Plan page's pure parts: what is typed and the document it becomes, undo, the lines of features, words. */

import assert from "node:assert/strict";
import test from "node:test";

import { draftOf, emptyDraft, isBegun, partOf, says, toTry } from "../../web/waytell_web/static/js/plan_draft.js";
import { EXAMPLE } from "../../web/waytell_web/static/js/plan_example.js";
import { featureWords, isComplete, newFeature } from "../../web/waytell_web/static/js/plan_features.js";
import { begun, redone, typedOn, undone } from "../../web/waytell_web/static/js/plan_history.js";
import { featureLines, radiiAt, stepLayer } from "../../web/waytell_web/static/js/plan_section.js";
import { passesWords } from "../../web/waytell_web/static/js/plan_words.js";

const MM = { length: "mm", x_as: "diameter" };
const INCH = { length: "inch", x_as: "radius" };
const size = (mm, tolerance_class = null, upper_mm = null, lower_mm = null) => ({ mm, tolerance_class, upper_mm, lower_mm });
/** Invented, with every kind of feature. */
const ALL = {
  ...EXAMPLE,
  set_ups: [...EXAMPLE.set_ups, { out_mm: 12, sawn_mm: 1, tailstock: true }],
  features: [
    ...EXAMPLE.features,
    { kind: "taper", set_up: 1, from_mm: 0, to_mm: 5, diameter: size(12), end_diameter_mm: 14 },
    { kind: "groove", set_up: 1, from_mm: 8, to_mm: 10, diameter: size(15, null, 0.1, -0.05) },
    { kind: "face", set_up: 2, length: size(29.5) },
  ],
};

test("a part becomes a draft and the same part again, in millimetres and in inches", () => {
  for (const units of [MM, INCH]) assert.deepEqual(partOf(draftOf(ALL, units), units), ALL);
  assert.ok(says(draftOf(ALL, INCH), ALL, INCH));
});

test("sizes in hundredths of a millimetre come back from inches as they were", () => {
  for (let hundredths = 1; hundredths <= 20_000; hundredths += 7) {
    const part = { ...EXAMPLE, bar: { diameter_mm: hundredths / 100, bore_mm: 0 } };
    assert.equal(partOf(draftOf(part, INCH), INCH).bar.diameter_mm, hundredths / 100);
  }
});

test("what is not told yet is left out of a try; what cannot be read is named", () => {
  const draft = draftOf(EXAMPLE, MM);
  const more = { ...draft, features: [...draft.features, newFeature("groove", 9, "1")] };
  assert.deepEqual(toTry(more, MM).keys, [1, 2, 3, 4, 5, 6]);
  assert.equal(isBegun(emptyDraft()), false);
  const spoilt = { ...draft, texts: { ...draft.texts, diameter: "2a" } };
  assert.throws(() => toTry(spoilt, MM), /Diameter of the bar: "2a" is not a number/);
  const turned = draft.features[1];
  assert.ok(isComplete(turned));
  assert.ok(!isComplete({ ...turned, texts: { ...turned.texts, "diameter.class": " " } }));
});

test("features stand on their rows as on a drawing", () => {
  const rows = draftOf(ALL, MM).features.map(featureWords);
  assert.equal(rows[1], "⌀\u00a018 h8 up to 22");
  assert.equal(rows[7], "⌀\u00a015 (+0.1 / −0.05) from 8 to 10");
  assert.equal(rows[8], "to length 29.5");
});

test("typing on in one field is one step of undo", () => {
  const drafts = ["w", "wa", "wag", "24"].map((name) => ({ texts: { name }, features: [] }));
  let history = begun({ texts: { name: "" }, features: [] });
  for (const [n, draft] of drafts.entries()) history = typedOn(history, n < 3 ? "name" : "diameter", draft);
  assert.equal(undone(history).now, drafts[2]);
  assert.equal(undone(undone(history)).now.texts.name, "");
  assert.equal(redone(undone(history)).now, drafts[3]);
  // Typing after an undo begins anew: what was undone is gone.
  assert.equal(typedOn(undone(history), "name", drafts[0]).future.length, 0);
});

const STOCK = [[-42, 12], [1, 12], [1, 0], [-42, 0]];
const TARGET = [[-42, 12], [-22, 12], [-22, 9], [0, 9], [0, 5], [-34, 5], [-34, 0], [-42, 0]];
const SET_UP = { number: 1, stock: STOCK, now: STOCK, target: TARGET, out_mm: 42, tailstock: false };

test("the surfaces of features lie on the section", () => {
  assert.deepEqual(radiiAt(TARGET, -10), [5, 9]);
  assert.deepEqual(radiiAt(TARGET, -38), [0, 12]);
  assert.deepEqual(featureLines(EXAMPLE.features[1], SET_UP), [[[-0, 9], [-22, 9], [-22, 12]]]);
  assert.deepEqual(featureLines(EXAMPLE.features[4], SET_UP), [[[-0.5, 9], [-0, 8.5]]]);
});

test("an operation takes what its passes take, and says so", () => {
  const passes = [0.5, 0.5, 0.1].map((depth_mm, n) => ({ role: n < 2 ? "roughing" : "finish", depth_mm, at_mm: [11, 10.5, 10.4][n] }));
  const operation = { kind: "turning", start_mm: 0, end_mm: -22, target_mm: 10.4, held_axis: "X" };
  assert.deepEqual(stepLayer({ operation, passes }), [[-22, 10.4], [2, 10.4], [2, 11.5], [-22, 11.5]]);
  assert.equal(passesWords({ passes, operation, state: "to_do" }, MM), "2\u00a0×\u00a0⌀\u00a01.00\u00a0roughing, ⌀\u00a00.20\u00a0finish");
  assert.equal(passesWords({ passes: [], operation, state: "done" }, MM), "none left");
});
