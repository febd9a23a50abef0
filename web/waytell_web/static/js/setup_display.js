/**
 * Set up: units (for all displays), and look and wakefulness of this one.
 *
 * @typedef {import("./setup_screen.js").SectionInputs} SectionInputs
 * @typedef {import("./types").Units} Units
 */

import { html, useState } from "../vendor/htm-preact-3.1.1.module.js";
import { tell } from "./acts.js";
import { Choice, RefusalWords } from "./fields.js";
import { readFromM } from "./distance.js";
import { chooseHand, chosenHand } from "./hand.js";
import { chooseLook, chosenLook } from "./look.js";
import { chooseMetres, chosenMetres, mmOfPixel, setMmOfPixel } from "./standing.js";
import { canStayAwake } from "./wake_lock.js";

/** @param {SectionInputs} inputs */
export function DisplaySection({ state }) {
  return html`<${UnitChoices} units=${state.units} /><${LookChoice} /><${HandChoice} /><${StandingChoice} />
    <p>${canStayAwake ? "The screen is kept on while this page is in view." : "This browser cannot keep the screen on here: set the device's own screen time-out to its longest."}</p>
    <p><a class="button" href="/devices">Other displays</a> Let a phone or tablet in, or take one away: at the computer that Waytell runs on.</p>`;
}

/** @param {{ units: Units }} inputs */
function UnitChoices({ units }) {
  const [refusal, setRefusal] = useState(/** @type {import("./types").Refusal | null} */ (null));
  /** @param {Partial<Units>} part */
  const choose = async (part) => setRefusal(await tell({ act: "choose_units", units: { ...units, ...part } }));
  return html`<${Choice} label="Lengths, on all displays" value=${units.length} options=${[["mm", "millimetres"], ["inch", "inches"]]}
      onChange=${(/** @type {Units["length"]} */ length) => choose({ length })} />
    <${Choice} label="Across, on all displays" value=${units.x_as} options=${[["diameter", "on the diameter"], ["radius", "on the radius"]]}
      onChange=${(/** @type {Units["x_as"]} */ x_as) => choose({ x_as })} />
    <${RefusalWords} refusal=${refusal} />`;
}

function LookChoice() {
  const [look, setLook] = useState(chosenLook());
  const choose = (/** @type {import("./look.js").Look} */ next) => {
    chooseLook(next);
    setLook(next);
  };
  return html`<${Choice} label="Look" value=${look} onChange=${choose} options=${[["day", "day"], ["night", "night"], ["system", "as the device has it"]]} />`;
}

function HandChoice() {
  const [hand, setHand] = useState(chosenHand());
  const choose = (/** @type {import("./hand.js").Hand} */ next) => {
    chooseHand(next);
    setHand(next);
  };
  return html`<${Choice} label="On this display I press with the" value=${hand} onChange=${choose} options=${[["right", "right hand"], ["left", "left hand"]]} />`;
}

const RULE_MM = 50;

/** Letters are as large as the distance asks; a rule held to the screen says how long its pixels are. */
function StandingChoice() {
  const [metres, setMetres] = useState(chosenMetres());
  const [pixel_mm, setPixel] = useState(mmOfPixel());
  const choose = (/** @type {import("./standing.js").Metres} */ next) => {
    chooseMetres(next);
    setMetres(next);
  };
  const fit = (/** @type {Event} */ e) => {
    const next = RULE_MM / Number(/** @type {HTMLInputElement} */ (e.target).value);
    setMmOfPixel(next);
    setPixel(next);
  };
  const width_px = RULE_MM / pixel_mm;
  return html`<${Choice} label="I stand from this display" value=${metres} onChange=${choose} options=${[["1", "1 m away"], ["2", "2 m away"], ["3", "3 m away"]]} />
    <label class="field"><span class="field-label">Hold a steel rule to the line below and move this until it is ${RULE_MM} mm long</span>
      <input type="range" min="80" max="700" step="1" value=${width_px.toFixed(0)} onInput=${fit} /></label>
    <svg class="rule-line" width=${width_px.toFixed(0)} height="24" role="img" aria-label=${`A line that is to be ${RULE_MM} mm long`}><path d=${`M1 4v16M1 12H${(width_px - 1).toFixed(1)}M${(width_px - 1).toFixed(1)} 4v16`} /></svg>
    <p>${reach(pixel_mm)}</p>`;
}

/** @param {number} pixel_mm */
function reach(pixel_mm) {
  const px = Number.parseFloat(getComputedStyle(document.documentElement).fontSize);
  return `The smallest words here can be read from ${readFromM(0.875 * px, pixel_mm).toFixed(1)} m; figures, the guide and the held slide grow with the distance.`;
}
