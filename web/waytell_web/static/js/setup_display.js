/**
 * Set up: units (for all displays), and look, sound and wakefulness of this one.
 *
 * @typedef {import("./setup_screen.js").SectionInputs} SectionInputs
 * @typedef {import("./types").Units} Units
 */

import { html, useState } from "../vendor/htm-preact-3.1.1.module.js";
import { tell } from "./acts.js";
import { Choice, RefusalWords } from "./fields.js";
import { chooseLook, chosenLook } from "./look.js";
import { canStayAwake } from "./wake_lock.js";

/** @param {SectionInputs} inputs */
export function DisplaySection({ state, sound }) {
  return html`<${UnitChoices} units=${state.units} /><${LookChoice} /><${Volume} sound=${sound} />
    <p>${canStayAwake ? "The screen is kept on while this page is in view." : "This browser cannot keep the screen on here: set the device's own screen time-out to its longest."}</p>`;
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

/** @param {{ sound: import("./sound.js").Sound }} inputs */
function Volume({ sound }) {
  const [volume, setVolume] = useState(sound.volume);
  const changed = (/** @type {Event} */ e) => {
    const next = Number(/** @type {HTMLInputElement} */ (e.target).value);
    sound.setVolume(next);
    setVolume(next);
  };
  return html`<label class="field"><span class="field-label">Loudness</span>
    <input type="range" min="0" max="1" step="0.05" value=${volume} onInput=${changed} /></label>`;
}
