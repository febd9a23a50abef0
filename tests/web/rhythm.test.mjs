import assert from "node:assert/strict";
import test from "node:test";
import { SIGNALS, signalFor, tickInterval } from "../../web/waytell_web/static/js/rhythm.js";
import { doubtful, good, sampleState } from "./sample_state.mjs";

const at = (mm, overrun = "ahead") => sampleState({ to_go: good(mm), overrun: { state: overrun, time_left_s: null, past_mm: 0 } });
const alarm = (code) => sampleState({ alarms: [{ code, level: "warning", words: code }] });
const lost = () => {
  const state = sampleState();
  return { ...state, axes: state.axes.map((axis) => ({ ...axis, position: doubtful(1, "stale") })) };
};

test("ticks close up with the distance", () => {
  const intervals = [10, 5, 2, 1, 0.5, 0.2, 0.1, 0.05, 0.02].map((mm) => tickInterval(at(mm)));
  assert.ok(intervals.every((interval, n) => n === 0 || interval < intervals[n - 1]), String(intervals));
  assert.ok(intervals[0] <= 1 && intervals.at(-1) >= 0.06);
});

test("ten times nearer quickens the ticks by the same step", () => {
  const [a, b, c] = [10, 1, 0.1].map((mm) => tickInterval(at(mm)));
  assert.ok(Math.abs(a - b - (b - c)) < 1e-9);
});

test("there is no ticking while nothing closes, far away, reached, past or in doubt", () => {
  assert.equal(tickInterval(at(1, "none")), null);
  assert.equal(tickInterval(at(30)), null);
  assert.equal(tickInterval(at(-0.1, "past")), null);
  assert.equal(tickInterval({ ...at(0.001), reached: true }), null);
  assert.equal(tickInterval({ ...at(1), to_go: doubtful(1, "stale") }), null);
});

test("each signal has a rhythm of its own, whatever its pitch: other numbers of long and short", () => {
  const rhythms = Object.values(SIGNALS).map(({ beats }) => beats.map((beat) => (beat.for_s > 0.2 ? "long" : "short")).join(" "));
  assert.equal(new Set(rhythms).size, rhythms.length);
});

test("beats of a signal do not run into one another or into its repetition", () => {
  for (const { beats, every_s } of Object.values(SIGNALS)) {
    const ends = beats.map((beat) => beat.at_s + beat.for_s);
    beats.slice(1).forEach((beat, n) => assert.ok(beat.at_s > ends[n]));
    assert.ok(ends.at(-1) < every_s);
  }
});

test("reaching sounds once, when it happens", () => {
  const before = at(0.05);
  const now = { ...at(0), reached: true };
  assert.equal(signalFor(before, now, null), "reached");
  assert.equal(signalFor(now, now, "reached"), "reached");
  assert.equal(signalFor(now, now, null), null);
  assert.equal(SIGNALS.reached.times, 1);
});

test("alarms sound for as long as they stand, the gravest first", () => {
  assert.equal(signalFor(null, alarm("held_slide_warning"), null), "held_moved");
  assert.equal(signalFor(null, alarm("held_slide_limit"), null), "held_too_far");
  assert.equal(signalFor(null, alarm("overrun_soon"), null), "overrun");
  const both = sampleState({ alarms: [...alarm("held_slide_limit").alarms, ...alarm("overrun_past").alarms] });
  assert.equal(signalFor(null, both, null), "overrun");
  assert.equal(signalFor(alarm("held_slide_warning"), sampleState(), "held_moved"), null);
});

test("losing trust sounds; never having had it does not", () => {
  assert.equal(signalFor(sampleState(), lost(), null), "doubtful");
  assert.equal(signalFor(lost(), lost(), "doubtful"), "doubtful");
  assert.equal(signalFor(lost(), sampleState(), "doubtful"), null);
  assert.equal(signalFor(null, lost(), null), null);
});
