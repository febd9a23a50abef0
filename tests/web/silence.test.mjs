import assert from "node:assert/strict";
import test from "node:test";
import { retryDelay, SILENT_AFTER_MS, SilenceWatch } from "../../web/waytell_web/static/js/silence.js";

function heardAt(...times) {
  const watch = new SilenceWatch();
  watch.opened(times[0]);
  for (const time of times) watch.heard(time);
  return watch;
}

test("nothing is live before the first state", () => {
  const watch = new SilenceWatch();
  assert.equal(watch.isLive(0), false);
  watch.opened(0);
  assert.equal(watch.isLive(10), false);
});

test("the first state on a new connection is live at once", () => {
  assert.equal(heardAt(20).isLive(20), true);
});

test("without a state for 250 ms nothing is live", () => {
  const watch = heardAt(1000);
  assert.equal(watch.isLive(1000 + SILENT_AFTER_MS), true);
  assert.equal(watch.isLive(1000 + SILENT_AFTER_MS + 1), false);
});

test("a heartbeat every 100 ms is no silence", () => {
  assert.equal(heardAt(0, 100, 200, 300, 400).isLive(499), true);
});

test("after a silence the two that may have waited on the way are not live, the third is", () => {
  const watch = heardAt(0, 11_000);
  assert.equal(watch.isLive(11_000), false);
  watch.heard(11_001);
  assert.equal(watch.isLive(11_001), false);
  watch.heard(11_017);
  assert.equal(watch.isLive(11_017), true);
});

test("a second silence before trust came back begins the count again", () => {
  const watch = heardAt(0, 1000, 2000, 2001);
  assert.equal(watch.isLive(2001), false);
  watch.heard(2002);
  assert.equal(watch.isLive(2002), true);
});

test("a closed connection is not live, however lately it was heard", () => {
  const watch = heardAt(1000);
  watch.closed();
  assert.equal(watch.isLive(1001), false);
});

test("a new connection after an hour trusts its first state", () => {
  const watch = heardAt(1000);
  watch.closed();
  watch.opened(3_600_000);
  assert.equal(watch.isLive(3_600_000), false);
  watch.heard(3_600_020);
  assert.equal(watch.isLive(3_600_020), true);
});

test("a connection that says nothing for long after it opened is as suspect as any silence", () => {
  const watch = new SilenceWatch();
  watch.opened(0);
  watch.heard(5000);
  assert.equal(watch.isLive(5000), false);
});

test("tries to connect come at 0.25 s first and never more than 2 s apart", () => {
  assert.deepEqual([0, 1, 2, 3, 4, 50].map(retryDelay), [250, 500, 1000, 2000, 2000, 2000]);
});
