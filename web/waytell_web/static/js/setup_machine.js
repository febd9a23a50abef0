/**
 * Set up: scales, machine and limits, compound slide. Each form changes its part of the configuration.
 *
 * @typedef {import("./setup_screen.js").SectionInputs} SectionInputs
 * @typedef {import("./types").Config} Config
 * @typedef {import("./types").Scale} Scale
 * @typedef {import("./types").Slide} Slide
 */

import { html, useState } from "../vendor/htm-preact-3.1.1.module.js";
import { changeConfig } from "./config_form.js";
import { Choice, Field, LengthField, readLength, readNumber, useFields } from "./fields.js";
import { fieldText } from "./figures.js";
import { SendForm } from "./form.js";

/** @type {[Slide, string][]} */
const SLIDES = [
  ["cross", "cross-slide"],
  ["carriage", "carriage"],
  ["compound", "compound slide"],
  ["tailstock", "tailstock (the quill that carries the drill)"],
];

/** @param {SectionInputs} inputs */
export function ScalesSection({ config, reload, state }) {
  const missing = SLIDES.filter(([slide]) => !config.scales.some((scale) => scale.slide === slide));
  const { link } = state;
  return html`<p>Board: ${link.words} (${link.source}). Wind each slide and see that its counts run, and which way.</p>
    ${config.scales.map((scale) => html`<${ScaleForm} key=${scale.slide} scale=${scale} reload=${reload} />`)}
    ${missing.map(([slide, words]) => html`<details key=${slide}>
      <summary>Add a scale on the ${words}</summary>
      <${ScaleForm} scale=${newScale(slide, config)} reload=${reload} />
    </details>`)}`;
}

/** @param {Slide} slide @param {Config} config @returns {Scale} */
function newScale(slide, config) {
  const used = config.scales.map((scale) => scale.channel);
  const channel = [0, 1, 2, 3, 4, 5, 6].find((n) => !used.includes(n)) ?? 0;
  return { channel, slide, resolution_um: 5, direction: 1, accuracy_um: 10, expansion_um_m_k: 10, scale_factor: 1 };
}

/** @param {{ scale: Scale, reload: () => void }} inputs */
function ScaleForm({ scale, reload }) {
  const [direction, setDirection] = useState(String(scale.direction));
  const { values, change } = useFields({
    channel: String(scale.channel),
    resolution: String(scale.resolution_um),
    accuracy: String(scale.accuracy_um),
  });
  const read = () => ({
    ...scale,
    channel: readNumber("Channel", values.channel),
    resolution_um: readNumber("One count", values.resolution),
    accuracy_um: readNumber("Error it may have", values.accuracy),
    direction: /** @type {1 | -1} */ (Number(direction)),
  });
  const send = async () => {
    const next = read();
    return changeConfig((config) => ({ ...config, scales: [...config.scales.filter((one) => one.slide !== scale.slide), next] }));
  };
  const words = SLIDES.find(([slide]) => slide === scale.slide)?.[1];
  const away = scale.slide === "cross" ? "out from the centre" : "away from the headstock";
  return html`<h3>Scale on the ${words}: <output class="counts" data-counts=${scale.channel}></output> <small>counts</small></h3>
    <${SendForm} button="Keep this scale" send=${send} done=${reload}>
      <div class="fields">
        <${Field} label="Channel of the board" value=${values.channel} onInput=${change("channel")} />
        <${Field} label="One count" unit="\u00b5m" value=${values.resolution} onInput=${change("resolution")} />
        <${Field} label="Error it may have" unit="\u00b1 \u00b5m" value=${values.accuracy} onInput=${change("accuracy")} />
      </div>
      <${Choice} label=${`When the ${scale.slide === "tailstock" ? "drill" : "tool"} goes ${away}, counts`} value=${direction} onChange=${setDirection} options=${[["1", "grow"], ["-1", "fall"]]} />
    </${SendForm}>`;
}

/** @param {SectionInputs} inputs */
export function MachineSection({ config, reload, state }) {
  const { units } = state;
  const { values, change } = useFields({
    name: config.machine.name,
    rpm: String(config.machine.spindle_max_rpm),
    reaction: String(config.machine.reaction_time_s),
    micrometer: String(config.machine.micrometer_u_um),
    temperature: String(config.machine.temperature_c),
    warning: fieldText(config.hold.warning_mm, "slide", units),
    limit: fieldText(config.hold.limit_mm, "slide", units),
    angle: String(config.compound.angle_deg),
  });
  const send = async () => {
    const part = readMachine(values, units);
    return changeConfig((now) => ({ ...now, machine: { ...now.machine, ...part.machine }, hold: part.hold, compound: part.compound }));
  };
  return html`<${SendForm} button="Keep these" send=${send} done=${reload}>
    <div class="fields">
      <${Field} kind="text" label="Name of this lathe" value=${values.name} onInput=${change("name")} />
      <${Field} label="Highest spindle speed" unit="turns a minute" value=${values.rpm} onInput=${change("rpm")} hint="of machine and chuck, the smaller" />
      <${Field} label="Time to stop winding once told" unit="s" value=${values.reaction} onInput=${change("reaction")} />
      <${Field} label="Your micrometer is sure within" unit="\u00b1 \u00b5m" value=${values.micrometer} onInput=${change("micrometer")} hint="of a length or a diameter, 95 %; new ones up to 50 mm: 4" />
      <${Field} label="Temperature of scales and work" unit="\u00b0C" value=${values.temperature} onInput=${change("temperature")} />
      <${LengthField} label="Held slide: warn from" along="slide" units=${units} value=${values.warning} onInput=${change("warning")} />
      <${LengthField} label="Held slide: too far from" along="slide" units=${units} value=${values.limit} onInput=${change("limit")} />
      <${Field} label="Angle of the compound slide" unit="degrees" value=${values.angle} onInput=${change("angle")}
        hint="0 parallel to the spindle; positive where winding in goes towards the centre line" />
    </div>
  </${SendForm}>`;
}

/** @param {Record<string, string>} values @param {import("./types").Units} units */
function readMachine(values, units) {
  return {
    machine: {
      name: values.name,
      spindle_max_rpm: readNumber("Highest spindle speed", values.rpm),
      reaction_time_s: readNumber("Time to stop winding", values.reaction),
      micrometer_u_um: readNumber("Your micrometer", values.micrometer),
      temperature_c: readNumber("Temperature", values.temperature),
    },
    hold: {
      warning_mm: readLength("Warn from", values.warning, "slide", units),
      limit_mm: readLength("Too far from", values.limit, "slide", units),
    },
    compound: { angle_deg: readNumber("Angle of the compound slide", values.angle) },
  };
}
