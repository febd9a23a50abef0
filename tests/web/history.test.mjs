import assert from "node:assert/strict";
import test from "node:test";

import { historyLines } from "../../web/waytell_web/static/js/history_sheet.js";

const event = (number, words, body = {}, kind = "act") => ({ number, t_s: number, wall: "", kind, words, body });

test("newest first, with what was taken back and what would be", () => {
  const events = [
    event(1, "Tool one"),
    event(2, "Depth 0.30 mm a pass"),
    event(3, "Depth 0.30 mm a pass"),
    event(4, "Undone: Depth 0.30 mm a pass", { undoes: 3 }),
    event(5, "A pass", {}, "pass_finished"),
  ];
  const lines = historyLines(events, "Depth 0.30 mm a pass");
  assert.deepEqual(lines.map((line) => line.event.number), [5, 3, 2, 1]);
  assert.deepEqual(lines.map((line) => line.undone), [false, true, false, false]);
  assert.deepEqual(lines.map((line) => line.next), [false, false, true, false]);
});
