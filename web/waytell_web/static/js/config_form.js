/**
 * Changing the configuration: it is fetched again just before, so that another display's change is not undone.
 *
 * @typedef {import("./types").Config} Config
 * @typedef {import("./types").Refusal} Refusal
 */

import { getConfig, tell } from "./acts.js";

/** @param {(config: Config) => Config} change @returns {Promise<Refusal | null>} */
export async function changeConfig(change) {
  const config = await getConfig();
  if (!config) return { error: "The server did not answer.", do: "Nothing was changed. Try again." };
  return tell({ act: "use_config", config: change(config) });
}
