/**
 * The live part of the Prove page: written straight to its places with each state, and struck through at once when what
 * stands there is no longer live.
 *
 * @typedef {import("./types").Doubt} Doubt
 * @typedef {import("./types").LiveState} LiveState
 * @typedef {import("./live.js").LinkName} LinkName
 */

import { setAttribute, setShown, setText } from "./dom.js";
import { noWord, otherVersion } from "./doubt.js";

const VERSION = 1;
const TOLD_AFTER_MS = 1000;
// From so many letters on a move is set smaller.
const LONG_MOVES = [60, 90];
/** Doubts of the readings themselves; others are of what positions rest on, and a check finds those out. */
const NOT_LIVE = ["no_board", "stale", "link_lost", "unreadable", "late", "ended"];

/** Why what stands there is not live; null where it is. @param {LiveState} state @param {LinkName} link @param {number} silence_ms @returns {Doubt | null} */
export function liveDoubt(state, link, silence_ms) {
  if (link !== "live") return noWord(silence_ms);
  if (state.version !== VERSION) return otherVersion();
  return state.doubts.find(({ code }) => NOT_LIVE.includes(code)) ?? null;
}

/** @typedef {"stands" | "moves" | "unknown"} Stands */

/** Shape and word together. @type {Record<Stands, string>} */
const STANDS = { stands: "\u25a0 stands", moves: "\u2194 moves", unknown: "? not known" };

/** What the live places say: the reason for doubt stands in the place of the next move. @param {LiveState} state @param {Doubt | null} doubt @returns {{ move: string, why: string, lines: string, stands: Stands }} */
export function liveWords({ check }, doubt) {
  const lines = (check?.lines ?? []).join("\n");
  if (doubt) return { move: doubt.words, why: doubt.do, lines, stands: "unknown" };
  const { move, why } = check?.next ?? { move: "", why: "" };
  return { move, why, lines, stands: check?.standing ? "stands" : "moves" };
}

/** @param {string} selector @param {(element: Element) => void} write */
function each(selector, write) {
  for (const element of document.querySelectorAll(selector)) write(element);
}

let announced = "";
let announcedMove = "";

/** @param {LiveState} state @param {LinkName} link @param {number} silence_ms */
export function drawLive(state, link, silence_ms) {
  const doubt = liveDoubt(state, link, silence_ms);
  const now = liveWords(state, doubt);
  const doubtful = String(doubt !== null);
  each("[data-live], [data-scales]", (element) => setAttribute(element, "data-doubtful", doubtful));
  each("[data-live-move]", (element) => setText(element, now.move));
  each(".next", (element) => setAttribute(element, "data-long", LONG_MOVES.filter((long) => now.move.length > long).length));
  each("[data-live-why]", (element) => setText(element, now.why));
  each("[data-live-lines]", (element) => setText(element, now.lines));
  each("[data-live-stands]", (element) => {
    setAttribute(element, "data-stands", now.stands);
    setText(element, STANDS[now.stands]);
  });
  each("[data-live-capture]", (element) => setAttribute(element, "data-ready", String(now.stands === "stands")));
  for (const { channel, counts, missed_edges } of state.slides) {
    each(`[data-counts="${channel}"]`, (element) => setText(element, counts === null ? "not heard" : String(counts)));
    each(`[data-missed="${channel}"]`, (element) => setText(element, String(missed_edges)));
  }
  for (const element of document.querySelectorAll("[data-silent]")) setShown(/** @type {HTMLElement} */ (element), link !== "live" && silence_ms > TOLD_AFTER_MS);
  announce(doubt);
  announceMove(doubt ? "" : now.move);
}

/** Spoken once when it comes. @param {Doubt | null} doubt */
function announce(doubt) {
  const words = doubt?.code ?? "";
  if (words === announced) return;
  announced = words;
  each("[data-announce]", (element) => setText(element, doubt?.words ?? ""));
}

/** Not again with each second that is counted down. @param {string} move */
function announceMove(move) {
  const words = move.replace(/\d+ s\b/, "");
  if (words === announcedMove) return;
  announcedMove = words;
  each("[data-announce-move]", (element) => setText(element, move));
}
