/**
 * Undo and redo of typing. Typing on in one field is one step. Pure.
 *
 * @typedef {import("./plan_types").Draft} Draft
 * @typedef {import("./plan_types").History} History
 */

const MOST_STEPS = 200;

/** @param {Draft} now @returns {History} */
export function begun(now) {
  return { past: [], now, future: [], about: "" };
}

/** @param {History} history @param {string} about @param {Draft} next @returns {History} */
export function typedOn({ past, now, about: before }, about, next) {
  const same = about !== "" && about === before && past.length > 0;
  return { past: same ? past : [...past, now].slice(-MOST_STEPS), now: next, future: [], about };
}

/** @param {History} history @returns {History} */
export function undone(history) {
  const { past, now, future } = history;
  if (past.length === 0) return history;
  return { past: past.slice(0, -1), now: past[past.length - 1], future: [now, ...future], about: "" };
}

/** @param {History} history @returns {History} */
export function redone(history) {
  const { past, now, future } = history;
  if (future.length === 0) return history;
  return { past: [...past, now], now: future[0], future: future.slice(1), about: "" };
}
