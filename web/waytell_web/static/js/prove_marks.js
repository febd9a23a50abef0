/** The mark of a verdict. */

import { html } from "../vendor/htm-preact-3.1.1.module.js";

/** @typedef {import("./prove_types").Verdict} Verdict */

/** Shape and word together, so that colour is never alone. @type {Record<Verdict, { shape: string, sign: string }>} */
const MARKS = {
  good: { shape: "M12 1a11 11 0 1 0 .01 0Z", sign: "M6 12.5l4 4 8-9" },
  fair: { shape: "M12 1.5 23.5 22H.5Z", sign: "M12 9v6M12 17.8v1.6" },
  bad: { shape: "M7.5 1h9L23 7.5v9L16.5 23h-9L1 16.5v-9Z", sign: "M7.5 7.5l9 9M16.5 7.5l-9 9" },
};

/** @param {Verdict | null} verdict */
export function verdictMark(verdict) {
  if (verdict === null) return html`<span class="mark-words none">not done</span>`;
  const { shape, sign } = MARKS[verdict];
  return html`<svg class="verdict-mark ${verdict}" viewBox="0 0 24 24" aria-hidden="true"><path class="shape" d=${shape} /><path class="sign" d=${sign} /></svg><span class="mark-words">${verdict}</span>`;
}
