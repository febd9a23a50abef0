/**
 * Set up: how loud this display is, and what each of its signals sounds like.
 *
 * @typedef {import("./rhythm.js").SignalName} SignalName
 * @typedef {import("./sound.js").LevelName} LevelName
 * @typedef {import("./sound.js").Sound} Sound
 */

import { html, useState } from "../vendor/htm-preact-3.1.1.module.js";
import { SIGNAL_WORDS } from "./rhythm.js";

const NAMES = /** @type {SignalName[]} */ (Object.keys(SIGNAL_WORDS));

/** @param {{ sound: Sound }} inputs */
export function SoundSection({ sound }) {
  const [muted, setMuted] = useState(sound.muted);
  const toggle = () => {
    sound.toggle();
    setMuted(sound.muted);
  };
  return html`<p>${muted ? "Sound is off: warnings are only seen." : "Ticks close up as the distance closes; each warning has a rhythm of its own."}
      A browser gives sound only after the first touch or key.</p>
    <button type="button" aria-pressed=${muted} onClick=${toggle}>${muted ? "Sound off: turn it on" : "Sound on: turn it off"}</button>
    <${Level} sound=${sound} name="ticks" label="Loudness of the closing ticks" />
    <${Level} sound=${sound} name="warnings" label="Loudness of the warnings" />
    <div class="one-of" role="group" aria-label="Hear it">
      <button type="button" data-try="ticks" onClick=${() => sound.try("ticks")}>a closing tick</button>
      ${NAMES.map((name) => html`<button type="button" key=${name} data-try=${name} onClick=${() => sound.try(name)}>${SIGNAL_WORDS[name]}</button>`)}
    </div>`;
}

/** @param {{ sound: Sound, name: LevelName, label: string }} inputs */
function Level({ sound, name, label }) {
  const [level, setLevel] = useState(sound.levels[name]);
  const changed = (/** @type {Event} */ e) => {
    const next = Number(/** @type {HTMLInputElement} */ (e.target).value);
    sound.setLevel(name, next);
    setLevel(next);
  };
  const heard = () => sound.try(name === "ticks" ? "ticks" : "reached");
  return html`<label class="field"><span class="field-label">${label}</span>
    <input type="range" min="0" max="1" step="0.05" value=${level} onInput=${changed} onChange=${heard} /></label>`;
}
