import assert from "node:assert/strict";
import test from "node:test";

import { answerOf, sheetOf } from "../../web/waytell_web/static/js/guide_panel.js";

const guide = (yes, no = "Not so") => ({ state: "measure", move: "", why: "", yes, no });
const act = { act: "answer", to: "measure", yes: true };

test("the guide's key tells its act or opens what is to be entered", () => {
  assert.deepEqual(answerOf("yes", guide({ words: "Done", act, opens: null })), act);
  assert.equal(answerOf("yes", guide(null)), null);
  assert.equal(sheetOf(guide({ words: "Measured", act: null, opens: "part" })), "part");
  assert.equal(sheetOf(guide({ words: "Open Set up", act: null, opens: "scales" })), "set-up");
  assert.equal(sheetOf(guide(null)), null);
});

test("the other key says that it is not so, where that can be said", () => {
  assert.deepEqual(answerOf("no", guide(null)), { act: "answer", to: "measure", yes: false });
  assert.equal(answerOf("no", guide(null, null)), null);
});
