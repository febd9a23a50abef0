/**
 * What a size says while it is typed, before it is told: its limits, the readout, the next pass. The server judges.
 *
 * @typedef {import("./types").Axis} Axis
 * @typedef {import("./types").Config} Config
 * @typedef {import("./types").SizeAsked} SizeAsked
 * @typedef {import("./types").SizeTried} SizeTried
 * @typedef {import("./types").Verdict} Verdict
 */

import { html, useEffect, useState } from "../vendor/htm-preact-3.1.1.module.js";
import { getConfig, trySize } from "./acts.js";
import { Mistyped } from "./fields.js";

/** Asked once the typing rests so long. */
const REST_MS = 250;

/** A shape beside the words: colour is never alone. @type {Record<Verdict, string>} */
const SIGNS = { within: "\u2713", outside: "\u2715", open: "?", reads_within: "?", reads_outside: "\u2715", no_limits: "" };

/** How sure the person's micrometer is, along an axis: it measures diameters, and X is a radius. @param {Config} config @param {Axis} axis */
export function micrometerMm({ machine }, axis) {
  return (machine.micrometer_u_um * 1e-3) / (axis === "X" ? 2 : 1);
}

/** The configuration once it came; null where it did not. @returns {Config | null | undefined} */
export function useConfig() {
  const [config, setConfig] = useState(/** @type {Config | null | undefined} */ (undefined));
  useEffect(() => {
    getConfig().then(setConfig);
  }, []);
  return config;
}

/** What stands in a form; null while it cannot be read. @template T @param {() => T} read @returns {T | null} */
export function readable(read) {
  try {
    return read();
  } catch (problem) {
    if (problem instanceof Mistyped) return null;
    throw problem;
  }
}

/**
 * Without a question there is nothing to show. Advice is told in the datum as it is: not where that is about to change.
 * @param {{ asked: SizeAsked | null, advises?: boolean }} inputs
 */
export function TriedSize({ asked, advises = true }) {
  const [tried, setTried] = useState(/** @type {SizeTried | null} */ (null));
  const question = JSON.stringify(asked);
  useEffect(() => {
    let wanted = true;
    setTried(null);
    const timer = setTimeout(async () => {
      const answer = asked && (await trySize(asked));
      // What was typed meanwhile has a question of its own.
      if (wanted) setTried(answer);
    }, REST_MS);
    return () => {
      wanted = false;
      clearTimeout(timer);
    };
  }, [question]);
  return html`<div class="tried-size" role="status" data-tried=${String(tried !== null)}>${tried && html`<${Says} tried=${tried} advises=${advises} />`}</div>`;
}

/** @param {{ tried: SizeTried, advises: boolean }} inputs */
function Says({ tried, advises }) {
  const { verdict, verdict_words: judged, difference_words: differs, learned } = tried;
  return html`${judged && html`<p data-verdict=${verdict}><strong>${SIGNS[verdict]}\u00a0${judged}</strong></p>`}
    <p data-difference>${differs}</p>
    ${advises && learned && html`<p class="soft" data-advice>${learned.words}</p>`}`;
}
