import assert from "node:assert/strict";
import test from "node:test";
import * as words from "../../web/waytell_web/static/js/words.js";
import { distrust, doubtsOf, noWord } from "../../web/waytell_web/static/js/doubt.js";
import { actButtons, actOf } from "../../web/waytell_web/static/js/act_bar.js";
import { knownOperations, sendable } from "../../web/waytell_web/static/js/operations.js";
import { axesOf, KINDS } from "../../web/waytell_web/static/js/kinds.js";
import { limitsOf } from "../../web/waytell_web/static/js/part_sheet.js";
import { BORING, DRILLING, doubtful, FACING, good, GROOVING, OPERATIONS, PARTING, sampleState, TURNING } from "./sample_state.mjs";

const past = { to_go: good(-0.137), reached: false, overrun: { state: "past", time_left_s: null, past_mm: 0.137 } };

test("the largest figure says which way and to what", () => {
  assert.equal(words.toGoLabel(sampleState()), "to go across, to the centre");
  assert.equal(words.toGoLabel(sampleState({ operation: { ...FACING, end_mm: 3 } })), "to go across, to the edge of the bore");
  assert.equal(words.toGoLabel(sampleState({ operation: TURNING })), "to go along, to the shoulder");
  assert.equal(words.toGoLabel(sampleState({ operation: BORING })), "to go along, to the end of the bore");
  assert.equal(words.toGoLabel(sampleState({ operation: GROOVING })), "to go across, to the bottom of the groove");
  assert.equal(words.toGoLabel(sampleState({ operation: PARTING })), "to go across, to the centre");
  assert.equal(words.toGoLabel(sampleState({ operation: { ...FACING, start_mm: 0, end_mm: 11 } })), "to go across, to the rim");
  assert.equal(words.toGoLabel(sampleState(past)), "past the centre by");
});

test("reached, past and soon are words, and doubt has none of them", () => {
  assert.equal(words.endState(sampleState({ to_go: good(0), reached: true })).words, "reached");
  assert.equal(words.endState(sampleState(past)).name, "past");
  assert.equal(words.endState(sampleState({ overrun: { state: "soon", time_left_s: 0.1, past_mm: 0 } })).words, "stop now");
  assert.equal(words.endState(sampleState({ to_go: doubtful(-1, "stale"), reached: true })).name, "none");
});

test("behind the end is told, but is no fault until the engine says so", () => {
  const state = sampleState({ ...past, overrun: { state: "none", time_left_s: null, past_mm: 0 } });
  assert.equal(words.toGoLabel(state), "past the centre by");
  assert.equal(words.endState(state).name, "none");
});

test("within the reach of the scale a little past is reached, not past", () => {
  assert.equal(words.endState(sampleState({ to_go: good(-0.004), reached: true })).name, "reached");
});

test("a moved slide is told with amount, direction and place", () => {
  const hold = { ...sampleState().hold, state: "warning", worst_mm: 0.013, worst_at_mm: 4.1, came_back: false };
  assert.equal(words.holdTitle(sampleState(), hold), "carriage has moved");
  assert.equal(words.holdDetail(sampleState(), hold), "moved 0.013 mm away from the headstock, at \u2300\u00a08.20");
  const inward = { ...hold, axis: "X", worst_mm: -0.02, worst_at_mm: -4, came_back: true };
  assert.equal(words.holdDetail(sampleState(), inward), "moved 0.02 mm towards the centre, at \u22124.000\u00a0along, and came back");
  assert.equal(words.holdTitle(sampleState(), null), "carriage: not known");
});

test("nothing in a distrusted state passes for live", () => {
  const state = distrust(sampleState({ reached: true, alarms: [{ code: "switch", level: "warning", words: "x" }] }), noWord(3200));
  assert.equal(JSON.stringify(state).includes('"good":true'), false);
  assert.deepEqual([state.reached, state.hold, state.spindle, state.cutting, state.alarms.length], [false, null, null, null, 0]);
  assert.equal(state.to_go.last_mm, 8);
  assert.equal(doubtsOf(state, state.to_go)[0].words, "No word from the server for 3 s.");
});

test("a figure shows its own reasons, not those of the other axis", () => {
  const stale = { code: "stale", words: "stale", do: "" };
  const missed = { code: "missed_edges", words: "missed", do: "" };
  const state = sampleState({ doubts: [stale, missed] });
  assert.deepEqual(doubtsOf(state, doubtful(1, "missed_edges")), [missed]);
  assert.deepEqual(doubtsOf(state, good(1)), []);
});

test("clamped and freed are one button that says what it will tell", () => {
  const held = sampleState();
  const free = sampleState({ hold: { ...held.hold, state: "free", armed_by: null } });
  assert.deepEqual(actOf("clamp", held), { act: "clamp", axis: "Z", held: false });
  assert.deepEqual(actOf("clamp", free), { act: "clamp", axis: "Z", held: true });
  const button = (state) => actButtons(state).find(({ deed }) => deed === "clamp").words;
  assert.deepEqual([button(held), button(free)], ["Freed", "Clamped"]);
});

test("what cannot be done is not sent", () => {
  assert.equal(actOf("undo", sampleState({ undo: null })), null);
  assert.equal(actOf("seen", sampleState()), null);
  assert.equal(actOf("clamp", sampleState({ operation: null, hold: null })), null);
});

test("operations are offered once each, as last chosen, and sent without their axes", () => {
  const chosen = (operation) => ({ body: { act: "choose_operation", operation } });
  const known = knownOperations([chosen(FACING), { body: { act: "seen" } }, chosen(TURNING), chosen({ ...FACING, depth_mm: 0.2 })]);
  assert.deepEqual(known.map(({ name, depth_mm }) => [name, depth_mm]), [["face the bush", 0.2], ["turn the bush", 0.3]]);
  assert.equal("feed_axis" in sendable(FACING), false);
});

test("what is left says which way the metal lies", () => {
  assert.equal(words.leftLabel(sampleState({ operation: TURNING })), "left to take off the diameter");
  assert.equal(words.leftLabel(sampleState({ operation: BORING })), "left to open the bore, on the diameter");
  assert.equal(words.leftLabel(sampleState({ operation: GROOVING })), "left along, to the wall");
  assert.equal(words.holdTitle(sampleState({ operation: DRILLING }), null), "no slide to hold");
});

test("depth is asked only of what is cut in passes", () => {
  const depth = (operation) => actButtons(sampleState({ operation })).find(({ deed }) => deed === "depth");
  assert.deepEqual([TURNING, BORING, DRILLING, PARTING].map((one) => depth(one).possible), [true, true, false, false]);
});

const BARS = [{ outside: 12, bore: 0, drill: 0 }, { outside: 3, bore: 2, drill: 2.5 }, { outside: 40, bore: 38, drill: 0 }];

for (const operation of OPERATIONS) {
  test(`${operation.kind}: its axes and first entries are what the server takes`, () => {
    assert.deepEqual(axesOf(operation.kind), { feed: operation.feed_axis, held: operation.held_axis });
    for (const bar of BARS) {
      const [start, end, target] = KINDS[operation.kind].first(bar);
      assert.notEqual(start, end);
      if (operation.feed_axis === "X") assert.ok(start === bar.outside && end >= bar.bore && end < start, "from the rim inwards, through metal");
      else assert.ok(end < start && target > 0 && target <= bar.outside);
    }
  });
}

test("limits lie on both sides of the size", () => {
  assert.deepEqual(limitsOf({ ...TURNING, tolerance_mm: 0.25 }), [7.875, 8.125]);
  assert.equal(limitsOf(TURNING), null);
});
