/**
 * One pass: what it was, the shape it left, the section before and after it, and its charts.
 *
 * @typedef {import("./review_types").PassReview} PassReview
 * @typedef {import("./review_types").Seen} Seen
 */

import { html } from "../vendor/htm-preact-3.1.1.module.js";
import { lengthText, timeWords, unitWord } from "./figures.js";
import { seriesChart } from "./review_chart.js";
import { section } from "./review_section.js";
import { creepSeries, motionSeries, speedSeries } from "./review_series.js";
import { creepText, depthText, feedText, wayText } from "./review_words.js";
import { slideWord } from "./words.js";

/** @param {Seen} seen */
export function passDetail(seen) {
  const { detail, state } = seen;
  if (!detail) return html`<p class="none">Choose a pass.</p>`;
  const { passed, doubted } = detail;
  return html`<article class="pass" data-doubtful=${doubted.length > 0} data-shown=${passed.number} aria-label="Pass ${passed.number}">
    <header>
      <h2>Pass ${passed.number}: ${passed.role}, ${passed.kind}</h2>
      <p class="soft">${[passed.operation, passed.tool, `part ${passed.part}`, `set-up ${passed.set_up}`].filter(Boolean).join(" \u00b7 ")}</p>
    </header>
    ${doubtWords(detail)}
    <p class="shape figure" data-shape>${detail.words}</p>
    ${figures(detail, seen)}
    ${section(detail, state.units, innerWidth)}
    ${charts(detail, seen)}
    <p class="take">
      <a class="button" href="api/export/samples.csv?pass=${passed.number}" download>Samples of this pass (CSV)</a>
      ${detail.outline_after.length > 2 && html`<a class="button" href="api/export/section.dxf?pass=${passed.number}" download>Section after it (DXF)</a>`}
    </p>
  </article>`;
}

/** @param {PassReview} detail */
function doubtWords({ doubted }) {
  if (doubted.length === 0) return "";
  return html`<div class="doubt-box">
    <strong>In doubt: do not rely on these figures.</strong>
    <ul>${doubted.map((doubt) => html`<li>${doubt.words} ${doubt.do}</li>`)}</ul>
  </div>`;
}

/** @param {PassReview} detail @param {Seen} seen */
function figures({ passed, held_axis }, { state }) {
  const unit = unitWord(state.units);
  const back = passed.came_back ? ", came back" : "";
  const overrun = passed.overrun_mm > 0 ? [["past the end by", `${lengthText(passed.overrun_mm, "slide", state.units, 2 + Number(unit === "inch"))} ${unit}`]] : [];
  const all = [
    ["depth", `${depthText(state, passed)} ${unit}`],
    [`fed, ${unit}`, wayText(state, passed)],
    [`creep of the ${slideWord(held_axis)}`, `${creepText(state, passed)} ${unit}${back}`],
    ["feed", feedText(state.units, passed.feed_mm_min)],
    ["time", timeWords(passed.duration_s)],
    ...overrun,
  ];
  return html`<dl class="figures-row">${all.map(([name, text]) => html`<div><dt>${name}</dt><dd class="figure">${text}</dd></div>`)}</dl>`;
}

/** @param {PassReview} detail @param {Seen} seen */
function charts(detail, { state, look }) {
  if (detail.samples.length < 2) {
    return html`<p class="none">No charts: the motion of this pass was not kept.</p>`;
  }
  const shows = `${detail.passed.number} ${state.units.length} ${state.units.x_as}`;
  return html`${detail.creep_um.length > 1 ? seriesChart(creepSeries(detail, state.units), look, shows) : ""}
    ${seriesChart(speedSeries(detail, state.units), look, shows)}
    ${seriesChart(motionSeries(detail, state.units), look, shows)}`;
}
