/**
 * The Review page: asks the server now and then whether there is more, and draws what there is.
 *
 * @typedef {import("./types").LiveState} LiveState
 * @typedef {import("./types").Pass} Pass
 * @typedef {import("./review_types").Choice} Choice
 * @typedef {import("./review_types").PassReview} PassReview
 * @typedef {import("./review_types").Screen} Screen
 * @typedef {import("./review_types").Seen} Seen
 */

import { html, render } from "../vendor/htm-preact-3.1.1.module.js";
import { find } from "./dom.js";
import { followLook } from "./look.js";
import { filesView } from "./review_files.js";
import { passDetail } from "./review_pass.js";
import { passesList } from "./review_passes.js";
import { partsView } from "./review_parts.js";
import { addressOf, chosenPass, placeAt } from "./review_words.js";

const ASK_EVERY_MS = 2000;
const WAIT_MS = 8000;
/** @type {[Screen, string][]} */
const SCREENS = [["passes", "Passes"], ["parts", "Parts"], ["files", "Files"]];

/** @type {Choice} */
let choice = { part: "", set_up: "", operation: "", ...placeAt(location.hash) };
/** @type {Omit<Seen, "choice" | "look" | "silent"> | null} */
let known = null;
let silent = false;
let knownEvents = -1;

/** @param {string} path @returns {Promise<any>} null where the server does not answer with it */
async function get(path) {
  try {
    const answer = await fetch(path, { signal: AbortSignal.timeout(WAIT_MS) });
    return answer.ok ? await answer.json() : null;
  } catch {
    return null;
  }
}

/** Asks for the state; for the rest only when something has happened since. */
async function ask() {
  const isFirst = !known;
  const state = /** @type {LiveState | null} */ (await get("api/state"));
  silent = state === null;
  if (state && (!known || state.events !== knownEvents)) await askForAll(state);
  else if (state && known) known = { ...known, state };
  draw();
  if (isFirst) document.querySelector("[aria-current]")?.scrollIntoView({ block: "nearest" });
  setTimeout(ask, ASK_EVERY_MS);
}

/** @param {LiveState} state */
async function askForAll(state) {
  const traces = new Map(known?.traces);
  const after = Math.max(0, ...traces.keys());
  const [passes, short, parts] = await Promise.all([get("api/passes"), get(`api/traces?after=${after}`), get("api/parts")]);
  silent = !passes || !short || !parts;
  if (silent) return;
  for (const { number, creep_um } of short.traces) traces.set(number, creep_um);
  known = { state, passes: passes.passes, traces, parts, detail: known?.detail ?? null };
  knownEvents = state.events;
  await askForDetail();
}

async function askForDetail() {
  if (!known) return;
  const wanted = chosenPass(known.passes, choice);
  if (!wanted) known = { ...known, detail: null };
  else if (known.detail?.passed.number !== wanted.number) {
    const detail = /** @type {PassReview | null} */ (await get(`api/passes/${wanted.number}`));
    // Another one may have been chosen while this one was on its way.
    if (detail && chosenPass(known.passes, choice)?.number === wanted.number) known = { ...known, detail };
  }
}

/** @param {Partial<Choice>} change */
async function choose(change) {
  choice = { ...choice, ...change };
  history.replaceState(null, "", addressOf(choice));
  draw();
  await askForDetail();
  draw();
}

let drawn = false;

function draw() {
  const place = find("[data-review]");
  if (!drawn) place.replaceChildren();
  drawn = true;
  if (!known) {
    if (silent) render(html`<p class="asking">The server does not answer. This page keeps asking.</p>`, place);
    return;
  }
  const look = document.documentElement.dataset.look ?? "";
  render(page({ ...known, choice, silent, look }), place);
}

/** @param {Seen} seen */
function page(seen) {
  const { screen } = seen.choice;
  return html`<header class="title-line">
      <p class="what">${seen.state.machine}${seen.state.demo ? ": demonstration" : ""}</p>
      <nav aria-label="Screens">
        ${SCREENS.map(([name, words]) => html`<button type="button" class="tab" aria-pressed=${screen === name} onClick=${() => choose({ screen: name })}>${words}</button>`)}
        <a class="tab" href="prove">Prove</a>
        <a class="tab" href="plan">Plan</a>
        <a class="tab" href=".">To the cut</a>
      </nav>
    </header>
    ${seen.silent ? html`<p class="silent" role="alert">The server does not answer: what came since is not here.</p>` : ""}
    ${screen === "passes" ? html`<main class="passes-screen"><section class="passes-list" aria-label="Passes">${passesList(seen, choose)}</section><section class="pass-detail" aria-label="The chosen pass">${passDetail(seen)}</section></main>` : ""}
    ${screen === "parts" ? html`<main class="one-screen">${partsView(seen)}</main>` : ""}
    ${screen === "files" ? html`<main class="one-screen">${filesView()}</main>` : ""}`;
}

followLook();
new MutationObserver(draw).observe(document.documentElement, { attributeFilter: ["data-look"] });
addEventListener("hashchange", () => choose(placeAt(location.hash)));
ask();
