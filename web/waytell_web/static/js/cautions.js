/** What to see to before the spindle starts. Ticks are for the person; the page stops nobody. */

import { html, useState } from "../vendor/htm-preact-3.1.1.module.js";
import { Tick } from "./fields.js";

const CAUTIONS = [
  "The key is out of the chuck.",
  "The guard is down, and chips cannot reach anybody.",
  "Eye protection is on.",
  "No gloves, no loose clothing, no rings; long hair is tied up.",
  "Turned by hand once round: nothing touches.",
  "A slow spin first: the work runs true and holds.",
];

export function Cautions() {
  const [ticked, setTicked] = useState(() => CAUTIONS.map(() => false));
  /** @param {number} n */
  const tick = (n) => (/** @type {boolean} */ on) => setTicked(ticked.map((was, i) => (i === n ? on : was)));
  return html`<p>Your machine's manual, local rules and a qualified person come first. Waytell only tells; it stops nothing.</p>
    <div class="ticks">${CAUTIONS.map((words, n) => html`<${Tick} key=${words} label=${words} checked=${ticked[n]} onChange=${tick(n)} />`)}</div>
    <p role="status">${ticked.every(Boolean) ? "\u2713 All seen to." : ""}</p>`;
}
