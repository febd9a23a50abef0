/**
 * What the Plan page asks of the server. Each answer is the document, or a refusal in words.
 *
 * @typedef {import("./types").Refusal} Refusal
 * @typedef {import("./plan_types").Part} Part
 * @typedef {import("./plan_types").Planned} Planned
 * @typedef {import("./plan_types").WhatIf} WhatIf
 */

import { NOT_REACHED, refusalOf } from "./acts.js";

const WAIT_MS = 8000;

/** @param {string} path @returns {Promise<any>} null where the server does not answer with it */
export async function get(path) {
  try {
    const answer = await fetch(path, { signal: AbortSignal.timeout(WAIT_MS) });
    return answer.ok ? await answer.json() : null;
  } catch {
    return null;
  }
}

/** @template T @typedef {{ answer: T, refusal: null } | { answer: null, refusal: Refusal }} Answered */

/** @param {string} path @param {string} body @param {string} kind @returns {Promise<Answered<any>>} */
async function post(path, body, kind = "application/json") {
  try {
    const answer = await fetch(path, { method: "POST", headers: { "Content-Type": kind }, body, signal: AbortSignal.timeout(WAIT_MS) });
    const said = await answer.json().catch(() => null);
    return answer.ok && said ? { answer: said, refusal: null } : { answer: null, refusal: refusalOf(said, answer.status) };
  } catch {
    return { answer: null, refusal: NOT_REACHED };
  }
}

/** @param {Part} part @returns {Promise<Answered<Planned>>} */
export function tryPart(part) {
  return post("api/plan/try", JSON.stringify(part));
}

/** @param {Part} part @param {number} step @returns {Promise<Answered<WhatIf>>} */
export function askWhatIf(part, step) {
  return post("api/plan/what_if", JSON.stringify({ part, step }));
}

/** @param {string} text of a part file @returns {Promise<Answered<Part>>} */
export function readPart(text) {
  return post("api/plan/read", text, "application/toml");
}
