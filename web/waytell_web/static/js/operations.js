/**
 * Operations already entered, found in the record of acts: every display offers the same ones.
 *
 * @typedef {import("./types").Operation} Operation
 * @typedef {import("./types").PlannedOperation} PlannedOperation
 * @typedef {import("./types").WaytellEvent} WaytellEvent
 */

/** @param {WaytellEvent} event @returns {PlannedOperation | null} */
function operationOf(event) {
  const body = /** @type {any} */ (event.body);
  const act = body?.act === "choose_operation" ? body : body?.act;
  return act?.act === "choose_operation" ? act.operation : null;
}

/** The newest of each name, in the order in which they were first chosen. @param {WaytellEvent[]} events @returns {PlannedOperation[]} */
export function knownOperations(events) {
  /** @type {Map<string, PlannedOperation>} */
  const byName = new Map();
  for (const event of events) {
    const operation = operationOf(event);
    if (operation) byName.set(operation.name, operation);
  }
  return [...byName.values()];
}

/** Without the axes, which follow from the kind. @param {PlannedOperation | Operation} operation @returns {PlannedOperation} */
export function sendable(operation) {
  const { feed_axis, held_axis, ...rest } = /** @type {Operation} */ (operation);
  return rest;
}
