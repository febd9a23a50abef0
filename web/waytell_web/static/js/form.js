/**
 * A form that sends something to the server: reads the fields, sends, shows a refusal beside what was typed.
 *
 * @typedef {import("./types").Refusal} Refusal
 */

import { html, useState } from "../vendor/htm-preact-3.1.1.module.js";
import { Mistyped, RefusalWords } from "./fields.js";

/**
 * Without a button of its own the fields hold the ones that send.
 * @param {{ button?: string, send: () => Promise<Refusal | null>, done?: () => void, cancel?: () => void, children?: unknown }} inputs
 */
export function SendForm({ button, send, done, cancel, children }) {
  const [refusal, setRefusal] = useState(/** @type {Refusal | null} */ (null));
  const [state, setState] = useState("");
  /** @param {Event} event */
  const submit = async (event) => {
    event.preventDefault();
    setState("sending");
    const answer = await attempt(send);
    setRefusal(answer);
    setState(answer ? "" : "sent");
    if (!answer) done?.();
  };
  return html`<form class="send-form" onSubmit=${submit} onInput=${() => setState("")} novalidate>
    ${children}
    <${RefusalWords} refusal=${refusal} />
    <div class="form-buttons">
      ${button && html`<button type="submit" class="main" disabled=${state === "sending"}>${button}</button>`}
      ${cancel && html`<button type="button" onClick=${cancel}>Leave it <kbd>Esc</kbd></button>`}
      <span class="sent" role="status">${state === "sent" ? "\u2713 taken over" : ""}</span>
    </div>
  </form>`;
}

/** @param {() => Promise<Refusal | null>} send @returns {Promise<Refusal | null>} */
async function attempt(send) {
  try {
    return await send();
  } catch (problem) {
    if (problem instanceof Mistyped) return { error: problem.message, do: "Type a number, such as 12.5." };
    throw problem;
  }
}
