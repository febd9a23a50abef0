/**
 * The overview of a workshop: every machine, those that need somebody first; each leads to its Cut screen.
 *
 * @typedef {import("./types").WorkshopNow} WorkshopNow
 * @typedef {import("./types").MachineNow} MachineNow
 * @typedef {import("./types").Along} Along
 * @typedef {import("./types").Units} Units
 */

import { html, render } from "../vendor/htm-preact-3.1.1.module.js";
import { figureShown, lastKnown, lengthText, NO_NUMBER, unitWord } from "./figures.js";
import { LiveLink, liveUrl } from "./live.js";
import { followLook } from "./look.js";

const place = /** @type {HTMLElement} */ (document.querySelector("[data-overview]"));
const NEEDS_SOMEBODY = ["danger", "warning", "must_act"];

/** @param {WorkshopNow | null} workshop @param {import("./live.js").LinkName} link */
function draw(workshop, link) {
  document.body.dataset.link = link;
  if (!workshop) {
    if (link !== "gone") return;
    render(html`<p class="asking">The server does not answer. This page keeps asking.</p>`, place);
    return;
  }
  document.body.dataset.seq = String(workshop.seq);
  const live = link === "live";
  render(
    html`<header class="title-line">
        <p class="what">Workshop</p>
        <p class="soft" data-count>${countWords(workshop.machines)}</p>
        <nav><a class="tab" href="devices">Other displays</a></nav>
      </header>
      ${!live && html`<p class="workshop-trouble" role="alert">No word from the server: nothing here is as it is now.</p>`}
      ${live && workshop.broker && html`<p class="workshop-trouble" role="alert">${workshop.broker}</p>`}
      <main>
        ${workshop.machines.length === 0 && html`<p class="asking">No machine was heard yet. At each lathe, start: waytell bridge --machine NAME --source PORT --mqtt URL</p>`}
        <ul class="machines">${workshop.machines.map((one) => html`<li key=${one.name}>${panel(one, live)}</li>`)}</ul>
      </main>`,
    place,
  );
}

/** @param {MachineNow} one @param {boolean} live */
function panel(one, live) {
  return html`<a class="machine" href=${one.place} data-machine=${one.name} data-level=${live ? one.level : "warning"}>
    <h2>${one.name}</h2>
    <p>${live ? one.doing : "not known"}${live && one.passes_left ? `, ${one.passes_left} to take` : ""}${one.part > 1 || one.passes > 0 ? html`<span class="soft">, part ${one.part}, ${one.passes} ${one.passes === 1 ? "pass" : "passes"}</span>` : ""}</p>
    <dl class="figures">
      ${figure("To go", "to-go", one.to_go, one, live)}
      ${figure("Left", "left", one.left, one, live)}
    </dl>
    ${needs(one, live)}
  </a>`;
}

/** @param {string} label @param {string} name @param {Along | null} told @param {MachineNow} one @param {boolean} live */
function figure(label, name, told, one, live) {
  if (!told) return html`<dt>${label}</dt><dd data-figure=${name} data-doubtful="none">${NO_NUMBER}</dd>`;
  const doubtful = String(!told.figure.good || !live);
  return html`<dt>${label}, ${unitWord(one.units)}</dt>
    <dd data-figure=${name} data-doubtful=${doubtful}>${textOf(told, one.units)}</dd>`;
}

/** A doubtful one as it last was, to be struck through. @param {Along} told @param {Units} units */
function textOf({ figure, axis, decimals_mm, decimals_inch }, units) {
  const decimals = units.length === "inch" ? decimals_inch : decimals_mm;
  if (figure.good) return figureShown(figure, axis, units, decimals).text;
  const last = lastKnown(figure);
  return last === null ? NO_NUMBER : lengthText(last, axis, units, decimals);
}

/** The worst that stands against it: an alarm, else a doubt. @param {MachineNow} one @param {boolean} live */
function needs(one, live) {
  if (!live) return "";
  const words = one.alarms.find((alarm) => alarm.level === one.level)?.words ?? one.doubts[0]?.words;
  return words && NEEDS_SOMEBODY.includes(one.level) ? html`<p class="needs"><span>${words}</span></p>` : "";
}

/** @param {MachineNow[]} machines */
function countWords(machines) {
  const needing = machines.filter((one) => NEEDS_SOMEBODY.includes(one.level)).length;
  const all = `${machines.length} ${machines.length === 1 ? "machine" : "machines"}`;
  return needing === 0 ? all : `${all}, ${needing} ${needing === 1 ? "needs" : "need"} somebody`;
}

followLook();
place.replaceChildren();
new LiveLink(liveUrl(location), (state, link) => draw(/** @type {WorkshopNow | null} */ (/** @type {unknown} */ (state)), link)).start();
