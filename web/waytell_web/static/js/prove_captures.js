/**
 * What was captured in a check, the newest first, and how much each is off.
 *
 * @typedef {import("./prove_types").Captured} Captured
 * @typedef {import("./prove_types").CheckNow} CheckNow
 * @typedef {import("./prove_types").Wants} Wants
 * @typedef {import("./types").Units} Units
 */

import { html } from "../vendor/htm-preact-3.1.1.module.js";
import { axisSign, lengthText, unitWord } from "./figures.js";
import { deviations, deviationWords, fineText, WAYS } from "./prove_words.js";

/** @type {Record<Wants, string>} */
const SAID = { "": "", place: "says", dial: "dial", diameter: "diameter" };
/** What the scale shows besides. @type {Record<Wants, string>} */
const SHOWN = { "": "shows", place: "shows", dial: "at X", diameter: "along" };

/** @param {CheckNow} now @param {Units} units @param {(capture: number, left_out: boolean) => void} leaveOut */
export function capturesTable({ captures, wants, check }, units, leaveOut) {
  if (captures.length === 0) return "";
  const offs = wants === "place" || wants === "" ? deviations(captures) : new Map();
  const showsWay = check.kind === "positioning" || check.kind === "map" || check.kind === "distance";
  const shown = (/** @type {number} */ mm) => (wants === "dial" ? lengthText(mm, "X", units, units.length === "inch" ? 4 : 3) : fineText(mm, units));
  /** @param {Captured} one @param {number} number */
  const row = (one, number) => html`<tr key=${one.number} data-captured=${number} data-left-out=${String(one.left_out)}>
    <th scope="row">${number}</th>
    ${wants !== "" && html`<td>${one.says_mm === null ? "" : fineText(one.says_mm, units)}</td>`}
    <td>${one.shown_mm === null ? "\u2013" : shown(one.shown_mm)}</td>
    ${wants === "place" && html`<td class="off">${one.left_out ? "" : deviationWords(offs.get(one.number), units)}</td>`}
    ${showsWay && html`<td class="way">${WAYS[one.way].sign} <span>${WAYS[one.way].words}</span></td>`}
    <td class="out">${leaveButton(one, number, leaveOut)}</td>
  </tr>`;
  return html`<table class="captures">
    <caption>Captured: ${captures.length} <small>lengths in ${unitWord(units)}</small></caption>
    <thead><tr><th scope="col">no.</th>${wants !== "" && html`<th scope="col">${SAID[wants]}</th>`}<th scope="col">${SHOWN[wants]}${wants === "dial" ? ` ${axisSign("X", units)}` : ""}</th>
      ${wants === "place" && html`<th scope="col">which is</th>`}${showsWay && html`<th scope="col">wound</th>`}<th></th></tr></thead>
    <tbody>${captures.map((one, n) => row(one, n + 1)).reverse()}</tbody>
  </table>`;
}

/** One that the board forgot cannot be taken in again. @param {Captured} one @param {number} number @param {(capture: number, left_out: boolean) => void} leaveOut */
function leaveButton({ number: event, left_out, why_left_out }, number, leaveOut) {
  const byHand = !left_out || why_left_out === "Left out by you.";
  const words = left_out ? "Take in again" : "Leave out";
  return html`${left_out && !byHand && html`<small>${why_left_out}</small>`}
    ${byHand && html`<button type="button" aria-label=${`${words}: capture ${number}`} onClick=${() => leaveOut(event, !left_out)}>${words}</button>`}`;
}
