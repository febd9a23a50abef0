/** What to see to before the spindle starts. The person ticks; the page stops nobody. */

import { html, useState } from "../vendor/htm-preact-3.1.1.module.js";
import { tell } from "./acts.js";
import { Tick } from "./fields.js";
import { SendForm } from "./form.js";

const CAUTIONS = [
  "The key is out of the chuck.",
  "The guard is down, and chips cannot reach anybody.",
  "Eye protection is on.",
  "No gloves, no loose clothing, no rings; long hair is tied up.",
  "The work is held as far as it can be, and nothing sticks out unsupported.",
];
const NOT_ALL = { error: "Not all of it is ticked.", do: "See to what is left, or leave it: nothing is stopped." };

/** Ticks hold for the work that is in the chuck. @param {{ close?: () => void }} inputs */
export function Cautions({ close }) {
  const [ticked, setTicked] = useState(() => CAUTIONS.map(() => false));
  /** @param {number} n */
  const tick = (n) => (/** @type {boolean} */ on) => setTicked(ticked.map((was, i) => (i === n ? on : was)));
  const send = async () => (ticked.every(Boolean) ? tell({ act: "answer", to: "cautions", yes: true }) : NOT_ALL);
  return html`<p>Your machine's manual, local rules and a qualified person come first. Waytell only tells; it stops nothing.</p>
    <${SendForm} button="All seen to" send=${send} done=${close} cancel=${close}>
      <div class="ticks">${CAUTIONS.map((words, n) => html`<${Tick} key=${words} label=${words} checked=${ticked[n]} onChange=${tick(n)} />`)}</div>
    </${SendForm}>
    <p>Then turn the chuck by hand once round, and spin it slowly first: nothing touches, the work runs true and holds.</p>`;
}
