/**
 * Parts and batches: sizes, how they spread, times, and how far each edge has cut.
 *
 * @typedef {import("./review_types").Batch} Batch
 * @typedef {import("./review_types").PartRecord} PartRecord
 * @typedef {import("./review_types").Seen} Seen
 * @typedef {import("./review_types").Size} Size
 * @typedef {import("./review_types").SizeStatistics} SizeStatistics
 */

import { html } from "../vendor/htm-preact-3.1.1.module.js";
import { lengthText, NO_NUMBER, timeWords, toShown, unitWord } from "./figures.js";
import { runChart } from "./review_chart.js";
import { runOf } from "./review_series.js";
import { nameOr, placeWords, sizeText, VERDICTS } from "./review_words.js";

/** @param {Seen} seen */
export function partsView(seen) {
  const { parts } = seen.parts;
  if (parts.length === 0) return html`<p class="none">No part yet. Parts end when you say that one is done.</p>`;
  return html`<div class="parts">
    <section aria-label="Batches">${batches(seen)}${edges(seen)}</section>
    <section aria-label="Parts"><h2>Parts</h2>${[...parts].reverse().map((part) => partCard(seen, part))}</section>
  </div>`;
}

/** @param {Seen} seen */
function batches(seen) {
  const found = seen.parts.batches;
  if (found.length === 0) return html`<p class="none">No part is done yet: sizes are compared over finished parts of the same name.</p>`;
  return found.map((batch) => html`<article class="batch" data-batch=${batch.name}>
    <h2>${nameOr(batch.name)}: ${batch.parts.length === 1 ? "1 part" : `${batch.parts.length} parts`}</h2>
    <p class="soft">A part takes ${timeWords(batch.total_s)} in all, breaks included, ${timeWords(batch.cutting_s)} of it cutting.</p>
    ${batch.statistics.map((one) => statistics(seen, batch, one))}
    ${batch.statistics.length === 0 && html`<p class="none">No size was measured.</p>`}
  </article>`);
}

/** @param {Seen} seen @param {Batch} batch @param {SizeStatistics} one */
function statistics(seen, batch, one) {
  const { units } = seen.state;
  const made = seen.parts.parts.filter((part) => batch.parts.includes(part.number));
  const run = runOf(made, one, units);
  const decimals = units.length === "inch" ? 4 : 3;
  /** A spread goes with its size: doubled where that is. @param {number | null} mm */
  const spread = (mm) => (mm === null ? NO_NUMBER : toShown(mm, one.axis, units).toFixed(decimals + 1));
  const range = one.range_mm === null ? NO_NUMBER : lengthText(one.range_mm, one.axis, units, decimals);
  const shows = `${JSON.stringify(run.points)}${units.length}${units.x_as}`;
  return html`<div class="size-over-parts" data-size=${one.operation}>
    <h3>${one.operation}</h3>
    <dl class="figures-row">
      <div><dt>mean, ${unitWord(units)}</dt><dd>${placeWords(seen.state, one.axis, one.mean_mm, decimals)}</dd></div>
      <div><dt>range</dt><dd>${range}</dd></div>
      <div><dt>standard deviation</dt><dd>${spread(one.s_mm)}</dd></div>
      ${one.outside > 0 && html`<div class="outside"><dt>outside limits</dt><dd>✕ ${one.outside}</dd></div>`}
    </dl>
    <p data-words>${one.words}</p>
    ${run.points.length > 1 && runChart(run, one.operation, seen.look, shows)}
  </div>`;
}

/** @param {Seen} seen @param {PartRecord} part */
function partCard(seen, part) {
  const passes = part.passes.length === 1 ? "1 pass" : `${part.passes.length} passes`;
  return html`<article class="part" data-part=${part.number}>
    <h3>${part.number} <span>${part.done ? nameOr(part.name) : "not finished"}</span></h3>
    <p class="soft">${passes}, ${timeWords(part.cutting_s)} cutting, ${timeWords(part.total_s)} in all</p>
    ${part.doubtful > 0 && html`<p><strong class="doubtful">${part.doubtful === 1 ? "1 pass" : `${part.doubtful} passes`} in doubt</strong></p>`}
    ${part.sizes.length > 0 && html`<table class="sizes"><tbody>${part.sizes.map((size) => sizeRow(seen, size))}</tbody></table>`}
  </article>`;
}

/** @param {Seen} seen @param {Size} size */
function sizeRow(seen, size) {
  const { sign, words } = VERDICTS[size.verdict];
  const judged = size.counts ? `${sign} ${words}` : "measured again later";
  return html`<tr data-verdict=${size.verdict} data-counts=${size.counts}><td class="words">${size.operation}</td><td>${sizeText(seen.state, size)}</td><td class="words verdict">${judged}</td></tr>`;
}

/** @param {Seen} seen */
function edges({ parts }) {
  if (parts.edges.length === 0) return "";
  return html`<article><h2>Edges</h2>
    <dl class="figures-row">${parts.edges.map((edge) => html`<div><dt>${edge.tool}</dt><dd>${edge.distance_m === null ? NO_NUMBER : `${edge.distance_m.toFixed(0)} m`}</dd><dd class="soft">${edge.words} ${timeWords(edge.cutting_s)} in the cut.</dd></div>`)}</dl>
  </article>`;
}
