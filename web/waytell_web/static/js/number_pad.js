/**
 * Large keys for numbers on an entry sheet, so that oily fingers need no other keyboard. They type into the field that
 * has the focus and leave it there; a real keyboard goes on working. In the order of the digits on a keyboard's top row.
 */

import { html, useEffect, useRef, useState } from "../vendor/htm-preact-3.1.1.module.js";
import { recall, remember } from "./preferences.js";

const KEYS = ["1", "2", "3", "4", "5", "6", "7", "8", "9", "0", ".", "\u2212", "rub out", "clear", "next"];
const FIELD = "input[data-number]";

export function NumberPad() {
  const place = useRef(/** @type {HTMLElement | null} */ (null));
  const [own, setOwn] = useState(recall("own keyboard", "no") === "yes");
  useEffect(() => followFields(place.current, own), [own]);
  const toggle = () => {
    remember("own keyboard", own ? "no" : "yes");
    setOwn(!own);
  };
  return html`<div class="number-pad" ref=${place} role="group" aria-label="Number keys">
    <div class="pad-keys">${!own && KEYS.map((key) => html`<button type="button" key=${key} data-pad=${key} tabindex="-1"
      class=${key.length > 1 ? "words" : ""} onPointerDown=${keepFocus} onClick=${() => pressed(place.current, key)}>${key}</button>`)}
      <button type="button" class="words quiet" data-pad-toggle onPointerDown=${keepFocus} onClick=${toggle}>${own ? "number keys" : "own keys"}</button></div>
  </div>`;
}

/** @param {Event} event */
function keepFocus(event) {
  event.preventDefault();
}

/** @param {HTMLElement | null} place @returns {HTMLInputElement[]} */
function fieldsBeside(place) {
  return [...(place?.closest("[role=dialog]")?.querySelectorAll(FIELD) ?? [])].filter((one) => one instanceof HTMLInputElement);
}

/** A tablet's keyboard would cover the sheet: it stays away while these keys are there. @param {HTMLElement | null} place @param {boolean} own */
function followFields(place, own) {
  const sheet = place?.closest("[role=dialog]");
  const set = () => {
    for (const field of fieldsBeside(place)) field.inputMode = own ? "decimal" : "none";
  };
  set();
  // Fields come and go with what is chosen on the sheet.
  const watch = new MutationObserver(set);
  if (sheet) watch.observe(sheet, { childList: true, subtree: true });
  return () => watch.disconnect();
}

/** @param {HTMLElement | null} place @param {string} key */
function pressed(place, key) {
  const fields = fieldsBeside(place);
  const field = fields.find((one) => one === document.activeElement) ?? fields[0];
  if (!field) return;
  field.focus();
  if (key === "next") return next(fields, field);
  typeInto(field, key);
  field.dispatchEvent(new Event("input", { bubbles: true }));
}

/** @param {HTMLInputElement[]} fields @param {HTMLInputElement} field */
function next(fields, field) {
  const following = fields[(fields.indexOf(field) + 1) % fields.length];
  following.focus();
  following.select();
}

/** @param {HTMLInputElement} field @param {string} key */
function typeInto(field, key) {
  const [from, to] = [field.selectionStart ?? field.value.length, field.selectionEnd ?? field.value.length];
  if (key === "clear") field.setRangeText("", 0, field.value.length, "end");
  else if (key === "rub out") field.setRangeText("", from === to ? Math.max(0, from - 1) : from, to, "end");
  else field.setRangeText(key, from, to, "end");
}
