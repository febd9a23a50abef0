/**
 * Telling the server: one act at a time, and what it says when it refuses.
 *
 * @typedef {import("./types").Act} Act
 * @typedef {import("./types").Config} Config
 * @typedef {import("./types").Pass} Pass
 * @typedef {import("./types").Refusal} Refusal
 * @typedef {import("./types").WaytellEvent} WaytellEvent
 */

const WAIT_MS = 5000;

/** @type {Refusal} */
export const NOT_REACHED = {
  error: "The server did not answer.",
  do: "Nothing was changed. See that Waytell is running, then send it again.",
};

/** @param {string} path @param {RequestInit} [options] @returns {Promise<Response | null>} */
async function ask(path, options = {}) {
  try {
    return await fetch(path, { ...options, signal: AbortSignal.timeout(WAIT_MS) });
  } catch {
    return null;
  }
}

/** @param {unknown} body @returns {RequestInit} */
function jsonOf(body) {
  return { method: "POST", headers: { "Content-Type": "application/json" }, body: JSON.stringify(body) };
}

/** @param {string} path @param {unknown} body @returns {Promise<Refusal | null>} null when it was taken */
export async function sendTo(path, body) {
  return (await answerTo(path, body)).refusal;
}

/** What a refusing answer says; a word of our own where it says nothing. @param {unknown} answer @param {number} status @returns {Refusal} */
export function refusalOf(answer, status) {
  const { error, do: what } = /** @type {Partial<Refusal>} */ (answer ?? {});
  return {
    error: typeof error === "string" ? error : `The server refused this (${status}).`,
    do: typeof what === "string" ? what : "Check what was entered.",
  };
}

/** What is answered, or why not. @param {string} path @param {unknown} body @returns {Promise<{ answer: any, refusal: Refusal | null }>} */
export async function answerTo(path, body) {
  const answer = await ask(path, jsonOf(body));
  if (!answer) return { answer: null, refusal: NOT_REACHED };
  const said = await answer.json().catch(() => null);
  return answer.ok ? { answer: said, refusal: null } : { answer: null, refusal: refusalOf(said, answer.status) };
}

/** @param {Act} act */
export function tell(act) {
  return sendTo("api/acts", act);
}

/**
 * What a size would say before it is told.
 * @param {import("./types").SizeAsked} asked @returns {Promise<import("./types").SizeTried | null>} null when it cannot be asked now
 */
export async function trySize(asked) {
  const answer = await ask("api/measured/try", jsonOf(asked));
  return answer?.ok ? answer.json() : null;
}

/** @param {string} fault */
export function tryFault(fault) {
  return sendTo("api/demo", { fault });
}

/** @param {string} path @returns {Promise<any>} null when the server does not answer */
export async function get(path) {
  const answer = await ask(path);
  return answer?.ok ? answer.json().catch(() => null) : null;
}

/** @returns {Promise<Pass[] | null>} */
export async function getPasses() {
  return (await get("api/passes"))?.passes ?? null;
}

/** @returns {Promise<WaytellEvent[] | null>} */
export async function getEvents() {
  return (await get("api/events"))?.events ?? null;
}

/** @returns {Promise<Config | null>} */
export function getConfig() {
  return get("api/config");
}
