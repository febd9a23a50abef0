/**
 * What was told and what happened, newest first, with what "Take back" would take back.
 *
 * @typedef {import("./types").LiveState} LiveState
 * @typedef {import("./types").WaytellEvent} WaytellEvent
 */

import { html, useEffect, useState } from "../vendor/htm-preact-3.1.1.module.js";
import { getEvents, tell } from "./acts.js";
import { SendForm } from "./form.js";

const SHOWN = 60;

/** @typedef {{ event: WaytellEvent, undone: boolean, next: boolean }} Line */

/**
 * The newest events with what became of them. An act that was taken back stays, marked so.
 * @param {WaytellEvent[]} events @param {string | null} undo words of what would be taken back now @returns {Line[]} newest first
 */
export function historyLines(events, undo) {
  const undone = new Set(events.map((event) => event.body.undoes).filter((number) => number !== undefined));
  const shown = events.filter((event) => event.body.undoes === undefined).toReversed();
  const next = shown.find((event) => event.kind === "act" && event.words === undo && !undone.has(event.number));
  return shown.slice(0, SHOWN).map((event) => ({ event, undone: undone.has(event.number), next: event === next }));
}

/** @param {WaytellEvent} event the time of day where the page is */
function timeOfDay({ wall }) {
  const at = new Date(wall);
  return Number.isNaN(at.valueOf()) ? "" : at.toLocaleTimeString([], { hour: "2-digit", minute: "2-digit", second: "2-digit" });
}

/** @param {{ state: LiveState, close: () => void }} inputs */
export function HistorySheet({ state, close }) {
  const [events, setEvents] = useState(/** @type {WaytellEvent[] | null} */ (null));
  useEffect(() => {
    getEvents().then(setEvents);
  }, []);
  const send = async () => tell({ act: "undo" });
  const lines = historyLines(events ?? [], state.undo);
  return html`<${SendForm} button=${state.undo ? "Take back the last" : undefined} send=${send} done=${close} cancel=${close}>
    ${events === null ? html`<p class="field-hint">Asking the server.</p>` : html`<ol class="told-so-far" tabindex="0" aria-label="What was told, newest first">${lines.map(line)}</ol>`}
  </${SendForm}>`;
}

/** @param {Line} line */
function line({ event, undone, next }) {
  const mark = undone ? "taken back" : next ? "would be taken back" : "";
  return html`<li key=${event.number} data-event=${event.number} class=${undone ? "undone" : ""}>
    <time>${timeOfDay(event)}</time> <span class="told-words">${event.words}</span> ${mark && html`<em>${mark}</em>`}
  </li>`;
}
