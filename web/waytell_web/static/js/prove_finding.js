/**
 * What a check found: verdict, words, what to do, figures with their uncertainty, plots, notes.
 *
 * @typedef {import("./prove_types").Proof} Proof
 * @typedef {import("./prove_types").Quantity} Quantity
 * @typedef {import("./types").Units} Units
 */

import { html, useEffect, useState } from "../vendor/htm-preact-3.1.1.module.js";
import { verdictMark } from "./prove_marks.js";
import { quantityTexts } from "./prove_words.js";

/** @param {Proof} proof @param {Units} units @param {string} look @param {unknown} [beside] stands between the words and the figures */
export function finding(proof, units, look, beside = "") {
  return html`<div class="finding" data-finding=${proof.verdict}>${verdictWords(proof)}${beside}${figuresOf(proof, units, look)}</div>`;
}

/** @param {Proof} proof */
export function verdictWords({ verdict, words, do: what }) {
  return html`<p class="verdict-line"><span class="verdict-big">${verdictMark(verdict)}</span><strong>${words}</strong></p>
    ${what && html`<p class="do">${what}</p>`}`;
}

/** @param {Proof} proof @param {Units} units @param {string} look */
export function figuresOf({ quantities, plots, notes }, units, look) {
  return html`${quantities.length > 0 && quantitiesTable(quantities, units)}
    ${plots.length > 0 && html`<${Plots} plots=${plots} look=${look} />`}
    ${notes.length > 0 && html`<ul class="notes">${notes.map((note) => html`<li key=${note}>${note}</li>`)}</ul>`}`;
}

// What draws plots is half of the page: it is fetched with the first one.
const DRAWS = "static/vendor/uplot-1.6.32.iife.min.js";
/** @typedef {typeof import("./prove_plot.js")} Drawing */
/** @type {Promise<Drawing> | null} */
let drawing = null;

/** @returns {Promise<Drawing>} */
async function fetchDrawing() {
  await new Promise((done, failed) => {
    const script = Object.assign(document.createElement("script"), { src: DRAWS, onload: done, onerror: failed });
    document.head.append(script);
  });
  return await import("./prove_plot.js");
}

/** @param {{ plots: import("./prove_types").Plot[], look: string }} inputs */
function Plots({ plots, look }) {
  const [ready, setReady] = useState(/** @type {Drawing | null} */ (null));
  const [failed, setFailed] = useState(false);
  useEffect(() => {
    drawing ??= fetchDrawing();
    drawing.then(setReady).catch(() => {
      // Asked for again with the next finding that is looked at.
      drawing = null;
      setFailed(true);
    });
  }, []);
  if (ready) return html`${plots.map((plot, n) => ready.plotFigure(plot, n, look))}`;
  return html`<p class="soft">${failed ? "The plot could not be fetched from the server." : "Fetching the plot."}</p>`;
}

/** @param {Quantity[]} quantities @param {Units} units */
function quantitiesTable(quantities, units) {
  const withU = quantities.some(({ u }) => u !== null);
  return html`<table class="quantities">
    <thead><tr><th scope="col">what</th><th scope="col">value</th>${withU && html`<th scope="col">\u00b1 U (95 %)</th>`}<th scope="col">unit</th></tr></thead>
    <tbody>${quantities.map((quantity) => {
      const { value, u, unit } = quantityTexts(quantity, units);
      return html`<tr key=${quantity.key} data-quantity=${quantity.key}><th scope="row">${quantity.name}</th><td>${value}</td>${withU && html`<td>${u && `\u00b1 ${u}`}</td>`}<td class="unit">${unit}</td></tr>`;
    })}</tbody>
  </table>`;
}
