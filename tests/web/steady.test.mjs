import assert from "node:assert/strict";
import test from "node:test";

import { Steady, STANDS_S } from "../../web/waytell_web/static/js/steady.js";

const PERIOD_S = 1 / 60;

/** What is shown of values that come 60 times a second. */
function shown(values, steady = new Steady()) {
  return values.map((digits, n) => steady.step(digits, n * PERIOD_S));
}

test("a scale on the edge of a count does not make the last digit shimmer", () => {
  const noisy = Array.from({ length: 600 }, (_, n) => 1200 + ((n * 7919) % 13 < 6 ? 1 : 0));
  assert.deepEqual(new Set(shown([1200, ...noisy])), new Set([1200]));
});

test("a single digit that is real is shown within the time that it has to stand", () => {
  const seen = shown([...Array(10).fill(500), ...Array(30).fill(501)]);
  const at = seen.indexOf(501);
  assert.ok((at - 10) * PERIOD_S <= STANDS_S + PERIOD_S);
  assert.ok(seen.slice(at).every((one) => one === 501));
});

test("a heartbeat that comes ten times a second is enough", () => {
  const steady = new Steady();
  assert.deepEqual([[0, 5], [0.1, 6], [0.2, 6], [0.3, 6]].map(([t_s, digits]) => steady.step(digits, t_s)), [5, 5, 5, 6]);
});

test("whatever moves is shown at once, and never more than a digit off", () => {
  for (const digits_s of [1, 7, 30, 60, 400, 5000]) {
    const values = Array.from({ length: 300 }, (_, n) => Math.round(n * PERIOD_S * digits_s));
    const off = shown(values).map((one, n) => Math.abs(one - values[n]));
    assert.ok(Math.max(...off) <= 1, `${digits_s} digits a second`);
  }
  assert.deepEqual(shown([100, 103, 97]), [100, 103, 97]);
});

test("a wind that turns round is followed", () => {
  const values = [...Array.from({ length: 60 }, (_, n) => n), ...Array.from({ length: 60 }, (_, n) => 59 - n)];
  assert.ok(shown(values).every((one, n) => Math.abs(one - values[n]) <= 1));
  assert.equal(shown([...values, ...Array(20).fill(0)]).at(-1), 0);
});
