import assert from "node:assert/strict";
import test from "node:test";
import { distrust, noWord } from "../../web/waytell_web/static/js/doubt.js";
import { Mistyped } from "../../web/waytell_web/static/js/fields.js";
import { sizeOfLastPass } from "../../web/waytell_web/static/js/touch_sheet.js";
import { micrometerMm, readable } from "../../web/waytell_web/static/js/tried_size.js";
import { sampleState, TURNING } from "./sample_state.mjs";

test("a micrometer measures diameters: of a radius it is sure to half as much", () => {
  const config = { machine: { micrometer_u_um: 4 } };
  assert.deepEqual([micrometerMm(config, "X"), micrometerMm(config, "Z")], [0.002, 0.004]);
});

test("what cannot be read yet asks nothing, and a fault of the program is not hidden", () => {
  assert.equal(readable(() => 5), 5);
  assert.equal(readable(() => { throw new Mistyped("Measured", "21.0x"); }), null);
  assert.throws(() => readable(() => { throw new TypeError("a fault"); }), TypeError);
});

test("the last pass has the limits of its operation while that is the present one", () => {
  const turned = { ...TURNING, tolerance_mm: 0.02 };
  const state = (operation) => sampleState({ operation, last_pass: { operation: TURNING.name } });
  assert.deepEqual(sizeOfLastPass(state(turned), "X"), { operation: "", axis: "X", low_mm: 7.99, high_mm: 8.01 });
  assert.deepEqual(sizeOfLastPass(state({ ...turned, name: "another" }), "X").low_mm, null);
  assert.deepEqual(sizeOfLastPass(state(turned), "Z").low_mm, null, "of the held axis only");
  assert.deepEqual(sizeOfLastPass(state(TURNING), "X").low_mm, null, "no limits were given");
});

test("no advice stands while the server is not heard", () => {
  const learned = { words: "Wind to diameter 16.012 mm", advised_mm: 8.006, u_mm: 0.004, sizes: 3 };
  assert.equal(distrust(sampleState({ learned }), noWord(3200)).learned, null);
});
