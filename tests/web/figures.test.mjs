import assert from "node:assert/strict";
import test from "node:test";
import * as figures from "../../web/waytell_web/static/js/figures.js";
import { doubtful, good, MM } from "./sample_state.mjs";

const INCH = { length: "inch", x_as: "diameter" };
const RADIUS = { length: "mm", x_as: "radius" };

test("a length across is doubled on the diameter, and only there", () => {
  assert.equal(figures.lengthText(6.25, "X", MM, 2), "12.50");
  assert.equal(figures.lengthText(6.25, "X", RADIUS, 2), "6.25");
  assert.equal(figures.lengthText(6.25, "Z", MM, 2), "6.25");
  assert.equal(figures.lengthText(6.25, "slide", MM, 2), "6.25");
});

test("an inch is 25.4 mm", () => {
  assert.equal(figures.lengthText(25.4, "Z", INCH, 4), "1.0000");
  assert.equal(figures.lengthText(12.7, "X", INCH, 4), "1.0000");
});

test("what is shown and typed back is the same length", () => {
  for (const units of [MM, RADIUS, INCH, { length: "inch", x_as: "radius" }]) {
    for (const along of ["X", "Z", "slide"]) {
      for (const mm of [-18.0035, 0, 0.0127, 9.5]) {
        const back = figures.fromShown(figures.toShown(mm, along, units), along, units);
        assert.ok(Math.abs(back - mm) < 1e-12, `${mm} ${along}`);
      }
    }
  }
});

test("a field's text keeps a length to a tenth of a micrometre", () => {
  for (const units of [MM, INCH]) {
    const back = figures.fromShown(Number(figures.fieldText(7.1236, "Z", units)), "Z", units);
    assert.ok(Math.abs(back - 7.1236) < 0.00015);
  }
});

test("minus is a true minus sign, and never stands before nothing", () => {
  assert.equal(figures.numberText(-0.137, 2), "\u22120.14");
  assert.equal(figures.numberText(-0.004, 2), "0.00");
  assert.equal(figures.changeText(0.012, "slide", MM, 3), "+0.012");
  assert.equal(figures.changeText(0.0004, "slide", MM, 3), "0.000");
});

test("the uncertainty is rounded up and doubles with the diameter", () => {
  assert.equal(figures.uText(0.011, "Z", MM, 2), "0.02");
  assert.equal(figures.uText(0.011, "X", MM, 2), "0.03");
  assert.equal(figures.uText(0.02, "Z", MM, 2), "0.02");
  assert.equal(figures.uText(0.01, "X", MM, 2), "0.02");
});

test("a good figure has its uncertainty, a doubtful one has none", () => {
  assert.deepEqual(figures.figureShown(good(1.5, 0.02), "Z", MM, 2), { text: "1.50", u: "0.02", doubtful: false });
  assert.deepEqual(figures.figureShown(doubtful(1.5, "stale"), "Z", MM, 2), { text: "1.50", u: null, doubtful: true });
  assert.deepEqual(figures.figureShown(doubtful(null, "stale"), "Z", MM, 2), { text: "\u2013", u: null, doubtful: true });
});

test("numbers are typed with a point or a comma; anything else is no number", () => {
  for (const [text, value] of [["12.5", 12.5], ["12,5", 12.5], [" -3 ", -3], [".5", 0.5], ["5.", 5], ["\u22122", -2], ["+1", 1]]) {
    assert.equal(figures.parseNumber(text), value, text);
  }
  for (const text of ["", " ", "12.5.1", "1,234.5", "abc", "1e3", "Infinity", "--1", "."]) {
    assert.equal(figures.parseNumber(text), null, text);
  }
});

test("digits follow what the axis supports, in the chosen unit", () => {
  const axis = { decimals_mm: 2, decimals_inch: 4 };
  assert.equal(figures.decimalsOf(axis, MM), 2);
  assert.equal(figures.decimalsOf(axis, INCH), 4);
});
