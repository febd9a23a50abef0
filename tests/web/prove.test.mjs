/** The Prove page's pure parts: how far one has come, numbers and words, keys, what is sent, what is live. */

import assert from "node:assert/strict";
import test from "node:test";

import { checkOf, textsOf } from "../../web/waytell_web/static/js/prove_begin.js";
import { said } from "../../web/waytell_web/static/js/prove_capture_form.js";
import { addressOf, answerWords, CHECKS, findingsOf, firstVariant, KINDS, placeAt, rowOf, titleOf, variantsOf } from "../../web/waytell_web/static/js/prove_checks.js";
import { keyDeed } from "../../web/waytell_web/static/js/prove_keys.js";
import { liveDoubt, liveWords } from "../../web/waytell_web/static/js/prove_live.js";
import { aligned, heights, plotWords } from "../../web/waytell_web/static/js/prove_plot.js";
import { changesFigures, givesWords } from "../../web/waytell_web/static/js/prove_use.js";
import { askedWords, budgetTexts, degreesText, deviations, deviationWords, quantityTexts, shareText, whenWords } from "../../web/waytell_web/static/js/prove_words.js";
import { MM, sampleState } from "./sample_state.mjs";

const INCH = { length: "inch", x_as: "radius" };
const SCALES = ["cross", "carriage"].map((slide, channel) => ({ slide, channel, resolution_um: 5, direction: 1, scale_factor: 1, mapped: false, placed: false, marks: 0 }));
const GIVES = { slide: null, channel: null, direction: null, resolution_um: null, scale_factor: null, map: null, temperature_c: null };
let number = 0;
const found = (check, verdict, wall = "2026-11-20T10:00:00Z") => ({
  number: ++number, wall, used: false, shifts: [], compared: [],
  proof: { check, verdict, words: "invented", do: "", quantities: [], plots: [], notes: [], captures: 0, resolution_um: 5, temperature_c: 20, gives: GIVES },
});
const proving = (...proofs) => ({ check: null, proofs, budgets: [], scales: SCALES });

// -- how far one has come -------------------------------------------------------------------------------------------------

test("a row tells the worst of the newest, and how many slides are done", () => {
  const now = proving(found({ kind: "distance", slide: "cross" }, "good", "2026-11-21T10:00:00Z"), found({ kind: "distance", slide: "cross" }, "bad"));
  assert.deepEqual(rowOf("distance", now), { verdict: "good", wall: "2026-11-21T10:00:00Z", done: 1, of: 2 });
  const both = proving(...now.proofs, found({ kind: "distance", slide: "carriage" }, "fair"));
  assert.deepEqual(rowOf("distance", both), { verdict: "fair", wall: "2026-11-21T10:00:00Z", done: 2, of: 2 });
  assert.deepEqual(rowOf("link", both), { verdict: null, wall: "", done: 0, of: 1 });
});

test("at rest is done once the motor was off and on", () => {
  const half = proving(found({ kind: "rest", motor: "off" }, "good"));
  assert.equal(rowOf("rest", half).done, 1);
  assert.equal(firstVariant("rest", half), "on");
  assert.equal(findingsOf(half.proofs, "rest", "on").length, 0);
});

test("the first slide looked at is one that is not done, then the worst", () => {
  assert.equal(firstVariant("map", proving()), "cross");
  assert.equal(firstVariant("map", proving(found({ kind: "map", slide: "cross" }, "good"))), "carriage");
  assert.equal(firstVariant("map", proving(found({ kind: "map", slide: "cross" }, "good"), found({ kind: "map", slide: "carriage" }, "bad"))), "carriage");
  assert.equal(firstVariant("disc", proving()), "");
});

test("a slide without a scale can be looked for, and nothing else be checked on it", () => {
  assert.deepEqual(variantsOf("slide", []).map(([slide]) => slide), ["cross", "carriage", "compound", "tailstock"]);
  assert.deepEqual(variantsOf("map", []), []);
  assert.equal(rowOf("map", { ...proving(), scales: [] }).of, 0);
});

test("the answer counts what is wholly done", () => {
  assert.equal(answerWords(proving()), "Nothing is proved yet. Begin at the top.");
  const some = proving(found({ kind: "link" }, "good"), found({ kind: "disc" }, "bad"), found({ kind: "map", slide: "cross" }, "good"));
  assert.equal(answerWords(some), "2 of 10 done, one is bad.");
});

test("the address keeps what is looked at", () => {
  for (const [place, variant] of [["distance", "carriage"], ["rest", "on"], ["link", ""], ["trust", ""]]) {
    assert.deepEqual(placeAt(addressOf(place, variant)), { place, variant });
  }
  assert.deepEqual(placeAt("#nonsense/x"), { place: "", variant: "" });
});

test("each check says what it asks and what has to be at hand", () => {
  assert.equal(KINDS.length, 10);
  for (const { asks, ready } of Object.values(CHECKS)) assert.ok(asks.endsWith("?") && ready.endsWith("."));
  assert.equal(titleOf({ kind: "distance", slide: "cross" }), "Known distance: cross-slide");
});

// -- what is sent ---------------------------------------------------------------------------------------------------------

test("a check is sent as it was entered, and stands there again as it was", () => {
  const distance = { kind: "distance", slide: "carriage", length_mm: 25.4, reference: { kind: "gauge_block", grade: 1, u_um: 2.54 } };
  for (const units of [MM, INCH]) assert.deepEqual(checkOf("distance", "carriage", textsOf("distance", distance, units), units), distance);
  assert.equal(textsOf("distance", distance, INCH).length, "1");
  assert.equal(textsOf("distance", distance, INCH).u, "0.1");
  assert.deepEqual(checkOf("rest", "on", textsOf("rest", undefined, MM), MM), { kind: "rest", motor: "on" });
  assert.equal(textsOf("positioning", undefined, MM).reference, "dial");
});

test("a decimal comma is understood, and what is no number is named", () => {
  const texts = { ...textsOf("temperature", undefined, MM), temperature: "18,5" };
  assert.equal(checkOf("temperature", "cross", texts, MM).temperature_c, 18.5);
  assert.throws(() => checkOf("distance", "cross", { ...texts, length: "twenty" }, MM), /Length: "twenty" is not a number/);
  assert.equal(said("place", "19,995", MM), 19.995);
  assert.equal(said("place", "1", INCH), 25.4);
  assert.equal(said("", "whatever", MM), null);
  assert.throws(() => said("dial", " ", MM), /The dial reads: nothing is entered/);
});

test("Enter captures but where it presses something else; figures go to the field", () => {
  const press = (key, more = {}) => ({ key, ctrlKey: false, altKey: false, metaKey: false, repeat: false, ...more });
  const nowhere = { inField: false, onControl: false };
  assert.equal(keyDeed(press("Enter"), nowhere), "capture");
  assert.equal(keyDeed(press("Enter"), { inField: false, onControl: true }), null);
  assert.equal(keyDeed(press("Enter"), { inField: true, onControl: false }), null, "the form itself does it");
  assert.equal(keyDeed(press("Enter", { repeat: true }), nowhere), null, "a key held down is one capture");
  assert.equal(keyDeed(press("/"), { inField: true, onControl: false }), "finish");
  for (const key of ["7", ",", ".", "-"]) assert.equal(keyDeed(press(key), nowhere), "type");
  assert.equal(keyDeed(press("7", { ctrlKey: true }), nowhere), null);
});

// -- captures and figures -------------------------------------------------------------------------------------------------

const captured = (n, says_mm, shown_mm, left_out = false) => ({ number: n, says_mm, shown_mm, way: 1, left_out, why_left_out: "" });

test("how much is off is told from the first capture that counts, and in words", () => {
  const offs = deviations([captured(1, 3, 9, true), captured(2, 5, 0), captured(3, 25, 20.012), captured(4, 25, 19.99), captured(5, null, 1)]);
  assert.equal(deviationWords(offs.get(2), MM), "as it says");
  assert.equal(deviationWords(offs.get(3), MM), "0.012 too much");
  assert.equal(deviationWords(offs.get(4), MM), "0.010 too little");
  assert.equal(deviationWords(offs.get(5), MM), "");
  // 0.012 mm are 0.00047 inch.
  assert.equal(deviationWords(offs.get(3), INCH), "0.0005 too much");
});

test("figures of a finding in the person's units, U rounded up", () => {
  const quantity = (value, unit, u, decimals) => ({ key: "k", name: "n", value, unit, u, decimals });
  assert.deepEqual(quantityTexts(quantity(-4.96, "um", 1.21, 1), MM), { value: "\u22125.0", u: "1.3", unit: "\u00b5m" });
  assert.deepEqual(quantityTexts(quantity(25.4, "um", 2.54, 1), INCH), { value: "1.00", u: "0.10", unit: "0.001 inch" });
  assert.deepEqual(quantityTexts(quantity(508, "mm/s", null, 0), INCH), { value: "20.0", u: "", unit: "inch/s" });
  // Ten inches are 254 mm: 10 um in 100 mm are 25.4 um there, which is 0.001 inch.
  assert.deepEqual(quantityTexts(quantity(10, "um/100 mm", null, 1), INCH), { value: "1.00", u: "", unit: "0.001 inch in 10 inch" });
  assert.equal(quantityTexts(quantity(0.1 + 0.2, "%", 0.1 + 0.2, 1), INCH).u, "0.3");
  assert.equal(quantityTexts(quantity(20, "C", null, 1), MM).unit, "\u00b0C");
});

test("an uncertainty is doubled with the diameter, and never told smaller than it is", () => {
  const budget = (axis) => ({ axis, expanded_um: 18.1, decimals_mm: 3, standard_um: 9, degrees: null, k: 2, shares: [], helps_most: "" });
  assert.deepEqual(budgetTexts(sampleState(), budget("Z")), { sign: "", u: "0.019", phrase: "mm", unit: "mm" });
  assert.equal(budgetTexts(sampleState(), budget("X")).u, "0.037");
  assert.equal(budgetTexts(sampleState({ units: INCH }), budget("X")).u, "0.0008");
  assert.equal(shareText(9, "X", MM), "18.0 \u00b5m");
  assert.equal(shareText(9, "Z", MM), "9.0 \u00b5m");
  assert.equal(degreesText(null), "without end");
  assert.equal(degreesText(7.2), "7");
});

test("what is compared with is told in one line", () => {
  const reference = { kind: "gauge_block", grade: 2, u_um: 0 };
  assert.equal(askedWords({ kind: "distance", slide: "cross", length_mm: 20, reference }, MM), "20 mm, gauge block, grade 2");
  assert.equal(askedWords({ kind: "map", slide: "cross", reference: { kind: "dial", grade: 2, u_um: 5 } }, MM), "dial indicator, \u00b1 5.0 \u00b5m");
  assert.equal(askedWords({ kind: "link" }, MM), "");
});

test("when it was, as one says it", () => {
  const now = new Date(2026, 10, 26, 9, 0);
  const at = (...parts) => whenWords(new Date(...parts).toISOString(), now);
  assert.equal(at(2026, 10, 26, 8, 5), "today 8:05");
  assert.equal(at(2026, 10, 25, 23, 59), "yesterday");
  assert.equal(at(2026, 10, 20, 12, 0), "6 days ago");
  assert.equal(at(2026, 0, 3, 12, 0), "3 Jan");
  assert.equal(at(2025, 0, 3, 12, 0), "3 Jan 2025");
  assert.equal(whenWords("", now), "");
});

test("only what changes figures has to be used", () => {
  assert.equal(changesFigures(GIVES), false);
  assert.equal(changesFigures({ ...GIVES, direction: -1 }), true);
  assert.equal(givesWords({ ...GIVES, resolution_um: 5.0125, map: { at_mm: [0, 10, 20], add_mm: [0, 0, 0] } }), "one count is 5.0125 \u00b5m, a correction at 3 places");
});

// -- plots ----------------------------------------------------------------------------------------------------------------

test("each point of a plot keeps its place and its line, also where places repeat", () => {
  const plot = { across: "place, mm", up: "deviation, um", series: [{ name: "up", points: [[0, 1], [10, 2]] }, { name: "down", points: [[10, 5], [0, 4], [0, 6]] }] };
  const [xs, up, down] = aligned(plot);
  assert.deepEqual(xs, [0, 0, 0, 10, 10]);
  assert.deepEqual(up.filter((one) => one !== null), [1, 2]);
  assert.deepEqual(down.filter((one) => one !== null), [4, 6, 5]);
  assert.equal(plotWords(plot), "deviation, um over place, mm. up: 1 to 2; down: 4 to 6");
});

// -- live -----------------------------------------------------------------------------------------------------------------

const CHECK = { kind: "distance", slide: "cross", standing: true, lines: ["moved 20.000 mm"], next: { move: "Wind on.", why: "It asks so." }, captures: 0, ready: false };

test("what is no longer live is told so in the place of the next move", () => {
  const state = sampleState({ check: CHECK });
  assert.equal(liveDoubt(state, "live", 0), null);
  assert.deepEqual(liveWords(state, null), { move: "Wind on.", why: "It asks so.", lines: "moved 20.000 mm", stands: "stands" });
  const stale = sampleState({ check: CHECK, doubts: [{ code: "stale", words: "The readings have stopped.", do: "Stop winding." }] });
  const doubt = liveDoubt(stale, "live", 0);
  assert.equal(liveWords(stale, doubt).move, "The readings have stopped.");
  assert.equal(liveWords(stale, doubt).stands, "unknown");
  for (const link of ["silent", "gone"]) assert.equal(liveDoubt(state, link, 400)?.code, "no_word");
  assert.equal(liveDoubt({ ...state, version: 9 }, "live", 0)?.words, "This page is older than the server.");
  const untouched = sampleState({ doubts: [{ code: "not_referenced", words: "", do: "" }] });
  assert.equal(liveDoubt(untouched, "live", 0), null, "readings are live though nothing is touched off");
});

test("zero is in sight where deviations are plotted, and not where sizes are", () => {
  const [low, high] = heights(-3, 8);
  assert.ok(low < -3 && high > 8);
  assert.ok(heights(4, 9)[0] < 0, "zero is no further off than a few spans");
  const [from, to] = heights(20, 20.03);
  assert.ok(from > 19.9 && from < 20 && to > 20.03 && to < 20.1);
  assert.ok(heights(5, 5)[0] < 0 && heights(0, 0)[1] > 0, "one value alone has a span all the same");
});
