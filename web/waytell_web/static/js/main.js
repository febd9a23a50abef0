/** Puts the page together: stream in, screens and sound out, keys and buttons to acts. */

import { ActBar, actOf } from "./act_bar.js";
import { get, tell } from "./acts.js";
import { CutScreen, onScreen } from "./cut_screen.js";
import { find, setAttribute, setShown, setText } from "./dom.js";
import { distrust, noWord, otherVersion } from "./doubt.js";
import { EntrySheet } from "./entry_sheet.js";
import { answerOf, GuidePanel, sheetOf } from "./guide_panel.js";
import { keyMap, listenToKeys, whenKeysChange } from "./keys.js";
import { LiveLink, liveUrl } from "./live.js";
import { applyHand } from "./hand.js";
import { followLook } from "./look.js";
import { PassesTable } from "./passes_table.js";
import { SectionDrawing } from "./section_drawing.js";
import { Sound } from "./sound.js";
import { applyStanding } from "./standing.js";
import { stayAwake } from "./wake_lock.js";

/**
 * @typedef {import("./key_map.js").Deed} Deed
 * @typedef {import("./types").LiveState} LiveState
 */

/** The version of the state document that this page can read. */
const VERSION = 1;

const demoMark = find("[data-demo]");
const demoWords = find("[data-demo-words]");
const sound = new Sound();
const cut = new CutScreen();
const drawing = new SectionDrawing(find("[data-drawing]"));
const passes = new PassesTable(find("[data-passes]"));
const sheet = new EntrySheet(find("[data-entry]"));
const guide = new GuidePanel(find("[data-guide]"), perform);
const bar = new ActBar(find("[data-acts]"), perform);

/** @type {LiveState | null} */
let latest = null;
/** Loaded when it is wanted first: whoever only cuts does not wait for it. @type {import("./setup_screen.js").SetUpScreen | null} */
let setUp = null;

/** @type {import("./live.js").Draw} */
function draw(state, link, silence_ms) {
  setAttribute(document.body, "data-link", link);
  if (!state) return;
  latest = state;
  const shown = trusted(state, link, silence_ms);
  cut.draw(shown);
  guide.draw(shown);
  drawing.draw(shown);
  bar.draw(state);
  setUp?.draw(shown);
  sound.hear(shown);
  drawDemo(state);
  if (link === "live") passes.draw(shown);
  setAttribute(document.body, "data-seq", state.seq);
}

/** The state as it may be shown. @param {LiveState} state @param {import("./live.js").LinkName} link @param {number} silence_ms */
function trusted(state, link, silence_ms) {
  if (link !== "live") return distrust(state, noWord(silence_ms));
  return state.version === VERSION ? state : distrust(state, otherVersion());
}

/** @param {LiveState} state */
function drawDemo(state) {
  setShown(demoMark, state.demo !== null);
  if (state.demo) setText(demoWords, `: ${state.demo.words}`);
}

/** @param {Deed | "faults"} deed */
async function perform(deed) {
  if (deed === "sound") return sound.toggle();
  if (deed === "screen") return showScreen(document.body.dataset.screen === "cut" ? "set-up" : "cut");
  if (!latest) return;
  if (deed === "yes" || deed === "no") return answer(deed, latest);
  if (deed === "clamp" || deed === "undo" || deed === "seen" || deed === "confirm") return tellNow(actOf(deed, latest));
  showScreen("cut");
  sheet.open(deed, latest);
}

/** The guide's own keys: done, or so; and not so. @param {"yes" | "no"} deed @param {LiveState} state */
function answer(deed, state) {
  const opens = deed === "yes" ? sheetOf(state.guide) : null;
  if (opens === "set-up") return showScreen(opens);
  if (!opens) return tellNow(answerOf(deed, state.guide));
  showScreen("cut");
  sheet.open(opens, state);
}

/** @param {import("./types").Act | null} act */
async function tellNow(act) {
  if (!act) return;
  const refusal = await tell(act);
  const place = find("[data-refusal]");
  setText(place, refusal ? `${refusal.error} ${refusal.do}` : "");
  setShown(place, refusal !== null);
}

/** @param {"cut" | "set-up"} name */
function showScreen(name) {
  document.body.dataset.screen = name;
  setShown(find("#cut"), name === "cut");
  setShown(find("#set-up"), name === "set-up");
  setText(find("[data-screen-word]"), name === "cut" ? "Set up" : "Back to the cut");
  if (name === "set-up") openSetUp();
}

async function openSetUp() {
  const { SetUpScreen } = await import("./setup_screen.js");
  setUp ??= new SetUpScreen(find("#set-up"), sound);
  await setUp.open();
}

/** On the buttons that the page has from the start. */
function showKeys() {
  for (const button of document.querySelectorAll("[data-do]")) {
    const mark = button.querySelector("kbd");
    if (mark) mark.textContent = keyMap.words(/** @type {Deed} */ (button.getAttribute("data-do")));
  }
}

/** A device that was let in to watch is told so; the server refuses what it may not do. */
async function showRight() {
  setShown(find("[data-watching]"), (await get("/api/me"))?.role === "watch");
}

function showSound() {
  setText(find("[data-sound-word]"), sound.words);
}

followLook();
applyHand();
applyStanding();
stayAwake();
sound.onChange = showSound;
sound.waitForTouch();
showSound();
showRight();
listenToKeys(perform);
whenKeysChange(showKeys);
for (const button of document.querySelectorAll("[data-do]")) {
  button.addEventListener("click", () => perform(/** @type {Deed} */ (button.getAttribute("data-do"))));
}
new LiveLink(liveUrl(location), draw, onScreen).start();
