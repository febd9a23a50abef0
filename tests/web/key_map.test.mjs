import assert from "node:assert/strict";
import test from "node:test";

import { DEED_NAMES, DEEDS, KeyMap, keyName, keyWords } from "../../web/waytell_web/static/js/key_map.js";

const press = (key, more = {}) => ({ key, code: "", ctrlKey: false, altKey: false, metaKey: false, repeat: false, ...more });

test("every deed has a key of its own at first", () => {
  const map = new KeyMap();
  for (const deed of DEED_NAMES) assert.equal(map.deedOf(press(DEEDS[deed].key)), deed);
  assert.equal(new Set(DEED_NAMES.map((deed) => map.words(deed))).size, DEED_NAMES.length);
});

test("a keypad does the same with its number lock on and off, and with a comma", () => {
  const map = new KeyMap();
  assert.equal(map.deedOf(press("Home", { code: "Numpad7" })), "tool");
  assert.equal(map.deedOf(press("7", { code: "Numpad7" })), "tool");
  assert.equal(map.deedOf(press("Delete", { code: "NumpadDecimal" })), "confirm");
  assert.equal(map.deedOf(press(",")), "confirm");
  assert.equal(map.deedOf(press("Home", { code: "Home" })), null);
});

test("keys that a keyboard needs for itself, held ones and those with Ctrl do nothing", () => {
  for (const one of [press("Tab"), press("Escape"), press("Shift"), press("1", { ctrlKey: true }), press("1", { repeat: true })]) {
    assert.equal(keyName(one), null);
  }
});

test("a foot switch is learned as one more key, and kept", () => {
  const map = new KeyMap();
  assert.equal(map.give("yes", "F13", true), null);
  const again = new KeyMap(map.kept());
  assert.deepEqual(again.keysOf("yes"), ["/", "F13"]);
  assert.equal(again.deedOf(press("F13")), "yes");
});

test("a key that another deed has is exchanged for its own", () => {
  const map = new KeyMap();
  assert.equal(map.give("clamp", "1", false), "touch");
  assert.deepEqual([map.keysOf("clamp"), map.keysOf("touch")], [["1"], ["2"]]);
  assert.equal(map.give("clamp", "5", true), "operation", "one more key gives nothing back");
  assert.deepEqual(map.keysOf("operation"), []);
  assert.equal(map.words("operation"), "");
  map.reset();
  assert.deepEqual(map.keysOf("operation"), ["5"]);
});

test("what was kept of another page, or is damaged, leaves no deed without a key", () => {
  for (const kept of ["", "nonsense", "{}", "[[1,2]]", JSON.stringify([["q", "no such deed"], ["x", "undo"]])]) {
    const map = new KeyMap(kept);
    for (const deed of DEED_NAMES) assert.notEqual(map.words(deed), "", `${deed} after ${kept}`);
  }
});

test("keys are told as they stand on the keyboard", () => {
  assert.deepEqual([" ", "h", "ArrowUp", "*", "F13"].map(keyWords), ["Space", "H", "\u2191", "\u00d7", "F13"]);
});
