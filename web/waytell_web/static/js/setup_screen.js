/**
 * The Set-up screen: sections of forms. Drawn anew only when what it shows has changed, not with every state.
 *
 * @typedef {import("./sound.js").Sound} Sound
 * @typedef {import("./types").Config} Config
 * @typedef {import("./types").LiveState} LiveState
 * @typedef {{ state: LiveState, config: Config, reload: () => void, sound: Sound }} SectionInputs
 */

import { html, render } from "../vendor/htm-preact-3.1.1.module.js";
import { getConfig } from "./acts.js";
import { Cautions } from "./cautions.js";
import { setText } from "./dom.js";
import { DisplaySection } from "./setup_display.js";
import { KeysSection } from "./setup_keys.js";
import { MachineSection, ScalesSection } from "./setup_machine.js";
import { SoundSection } from "./setup_sound.js";
import { ToolsSection } from "./setup_tools.js";
import { BarSection, OperationSection } from "./setup_work.js";

/** @type {[string, string, (inputs: SectionInputs) => unknown][]} */
const SECTIONS = [
  ["before", "Before the spindle starts", () => html`<${Cautions} />`],
  ["bar", "The bar in the chuck", BarSection],
  ["tools", "Tools", ToolsSection],
  ["operation", "Operation", OperationSection],
  ["scales", "Scales", ScalesSection],
  ["machine", "Machine and limits", MachineSection],
  ["display", "This display", DisplaySection],
  ["sound", "Sound", SoundSection],
  ["keys", "Keys", KeysSection],
];

export class SetUpScreen {
  /** @param {HTMLElement} place @param {Sound} sound */
  constructor(place, sound) {
    this.place = place;
    this.sound = sound;
    this.drawn = "";
    /** @type {Config | null} */
    this.config = null;
  }

  async open() {
    this.drawn = "";
    this.config = (await getConfig()) ?? this.config;
    this.drawn = "";
  }

  /** @param {LiveState} state */
  draw(state) {
    if (this.place.hidden) return;
    const { units, tool, operation, work, slides, last_pass } = state;
    const key = JSON.stringify([units, tool, operation, work.set_up, work.stock, slides.length, last_pass?.number, this.config]);
    if (key !== this.drawn) this.render(state);
    this.drawn = key;
    this.drawCounts(state);
  }

  /** @param {LiveState} state */
  render(state) {
    render(screen({ state, config: this.config, reload: () => this.open(), sound: this.sound }), this.place);
  }

  /** Counts run on while forms stand still: written straight into their places. @param {LiveState} state */
  drawCounts(state) {
    for (const place of this.place.querySelectorAll("[data-counts]")) {
      const slide = state.slides.find((one) => String(one.channel) === place.getAttribute("data-counts"));
      setText(place, slide?.counts == null ? "not heard" : String(slide.counts));
    }
  }
}

/** @param {{ state: LiveState, config: Config | null, reload: () => void, sound: Sound }} inputs */
function screen({ state, config, reload, sound }) {
  if (!config) return html`<p class="waiting">Asking the server for this machine's set-up.</p>`;
  // Typed numbers mean nothing in other units: with new units the forms begin anew.
  const unitsKey = `${state.units.length} ${state.units.x_as}`;
  return html`<nav class="contents" aria-label="Parts of the set-up">
      ${SECTIONS.map(([id, title]) => html`<a key=${id} href=${`#${id}`}>${title}</a>`)}
    </nav>
    <div class="sections" key=${unitsKey}>
      ${SECTIONS.map(([id, title, Section]) => html`<section key=${id} id=${id} aria-label=${title}>
        <h2>${title}</h2>
        <${Section} state=${state} config=${config} reload=${reload} sound=${sound} />
      </section>`)}
    </div>`;
}
