/**
 * The Prove page: can these readings be trusted, and how far? Hears the live state, asks for what was found when
 * something happened, and draws both.
 *
 * @typedef {import("./prove_types").Deeds} Deeds
 * @typedef {import("./prove_types").Place} Place
 * @typedef {import("./prove_types").ProvingNow} ProvingNow
 * @typedef {import("./prove_types").Seen} Seen
 * @typedef {import("./types").Act} Act
 * @typedef {import("./types").LiveState} LiveState
 */

import { html, render } from "../vendor/htm-preact-3.1.1.module.js";
import { get, tell } from "./acts.js";
import { find, setAttribute } from "./dom.js";
import { applyHand, chooseHand, chosenHand } from "./hand.js";
import { LiveLink, liveUrl } from "./live.js";
import { followLook } from "./look.js";
import { addressOf, CHECKS, firstVariant, placeAt, variantOf } from "./prove_checks.js";
import { listenToProveKeys } from "./prove_keys.js";
import { drawLive } from "./prove_live.js";
import { provePage } from "./prove_screen.js";
import { stayAwake } from "./wake_lock.js";

const ASK_EVERY_MS = 1000;
const NOTHING_TOLD = { refusal: null, words: "" };

/** @type {Seen | null} */
let seen = null;
/** @type {Parameters<import("./live.js").Draw> | null} */
let live = null;
let silent = false;
/** @type {Promise<void> | null} */
let asking = null;
/** What of the live state the answer that is drawn was asked for with. */
let askedFor = "";
let asked_ms = -ASK_EVERY_MS;

// -- asking ---------------------------------------------------------------------------------------------------------------

/** What may have changed the answer. @param {LiveState} state */
function needOf({ events, check, units }) {
  return JSON.stringify([events, check?.kind, check?.captures, check?.ready, units]);
}

/** Asks where something happened, and each second while a check is under way or the server did not answer. */
function askIfNeeded() {
  const state = live?.[0];
  if (!state || asking) return;
  const due = performance.now() - asked_ms > ASK_EVERY_MS;
  if (silent && !due) return;
  if (needOf(state) !== askedFor || (due && (state.check !== null || silent))) ask(state);
}

/** @param {LiveState} state */
function ask(state) {
  asked_ms = performance.now();
  const need = needOf(state);
  asking = get("api/proving").then((/** @type {ProvingNow | null} */ proving) => {
    asking = null;
    silent = proving === null;
    if (proving) askedFor = need;
    if (proving) take(proving, live?.[0] ?? state);
    else draw();
  });
  return asking;
}

/** After an act: an answer that was on its way already may not know of it. */
async function askAnew() {
  await asking;
  const state = live?.[0];
  if (state) await ask(state);
}

/** @param {ProvingNow} proving @param {LiveState} state */
function take(proving, state) {
  if (seen) return see({ proving, state });
  const { place, variant } = placeAt(location.hash);
  seen = { state, proving, place, variant, told: NOTHING_TOLD, look: "", hand: chosenHand() };
  // A check that is under way is what one came for, unless the address says otherwise.
  const { check } = proving;
  if (!place && check) deeds.go(check.check.kind);
  else if (place in CHECKS && !variant) deeds.go(place);
  else draw();
}

// -- deeds ----------------------------------------------------------------------------------------------------------------

/** @param {Partial<Seen>} change */
function see(change) {
  if (seen) seen = { ...seen, ...change };
  draw();
}

/** @param {Act} act @param {string} words what to say when it was done */
async function telling(act, words) {
  const refusal = await tell(act);
  see({ told: { refusal, words: refusal ? "" : words } });
  if (!refusal) await askAnew();
  return refusal;
}

/** What opens takes the keyboard. @param {string} selector */
function focus(selector) {
  const element = document.querySelector(selector);
  if (element instanceof HTMLElement) element.focus();
}

/** @type {Deeds} */
const deeds = {
  go(place, variant) {
    if (!seen) return;
    const { proving } = seen;
    const other = place !== seen.place;
    const next = place === "" || place === "trust" ? "" : (variant ?? firstVariant(place, proving));
    const address = addressOf(place, next);
    // Going back leads to the list on a narrow screen; another slide is no step of its own.
    if (location.hash !== address) history[other ? "pushState" : "replaceState"](null, "", address);
    const cameFrom = seen.place;
    see({ place, variant: next, told: NOTHING_TOLD });
    if (other) focus(place === "" ? `[data-check="${cameFrom}"], [data-place="${cameFrom}"]` : ".panel h2");
  },
  async begin(check) {
    const refusal = await telling({ act: "begin_check", check }, "");
    if (!refusal) focus(".panel h2");
    return refusal;
  },
  async capture(says_mm) {
    const refusal = await tell({ act: "capture", says_mm });
    if (!refusal) await askAnew();
    return refusal;
  },
  leaveOut: (capture, left_out) => telling({ act: "leave_out", capture, left_out }, ""),
  async finish() {
    const under = seen?.proving.check?.check;
    if (!under || (await telling({ act: "finish_check" }, ""))) return;
    deeds.go(under.kind, variantOf(under));
    focus(".panel h2");
  },
  async giveUp() {
    const under = seen?.proving.check?.check;
    if (await telling({ act: "give_up_check" }, "")) return;
    if (under) deeds.go(under.kind, variantOf(under));
    focus(".panel h2");
  },
  use: (proof, use) => telling({ act: "use_proof", proof, use }, use ? "In use now." : "No longer in use."),
  atStop: (slide) => telling({ act: "at_stop", slide }, "Told: the map is counted from here."),
  takeBack: () => telling({ act: "undo" }, "Taken back."),
  chooseHand(hand) {
    chooseHand(hand);
    see({ hand });
  },
};

// -- drawing --------------------------------------------------------------------------------------------------------------

let drawn = false;

function draw() {
  const place = find("[data-prove]");
  if (!seen && !silent) return;
  if (!drawn) place.replaceChildren();
  drawn = true;
  const look = document.documentElement.dataset.look ?? "";
  render(seen ? provePage({ seen: { ...seen, look }, deeds }) : html`<p class="asking">The server does not answer. This page keeps asking.</p>`, place);
  if (live) writeLive(...live);
}

/** @type {import("./live.js").Draw} */
function writeLive(state, link, silence_ms) {
  setAttribute(document.body, "data-link", link);
  if (state) drawLive(state, link, silence_ms);
}

/** @type {import("./live.js").Draw} */
function hear(state, link, silence_ms) {
  const before = live?.[0];
  live = [state, link, silence_ms];
  // What is not live is drawn anew only where it changed: it stands still between acts.
  if (state && seen && before && stillOf(state) !== stillOf(before)) see({ state });
  else writeLive(state, link, silence_ms);
  askIfNeeded();
}

/** What the page shows of the state besides what is live. @param {LiveState} state */
function stillOf({ events, units, undo, machine, demo }) {
  return JSON.stringify([events, units, undo, machine, demo?.words]);
}

followLook();
applyHand();
stayAwake();
listenToProveKeys();
new MutationObserver(draw).observe(document.documentElement, { attributeFilter: ["data-look"] });
addEventListener("popstate", () => {
  const { place, variant } = placeAt(location.hash);
  see({ place, variant: variant || (seen && place !== "" && place !== "trust" ? firstVariant(place, seen.proving) : ""), told: NOTHING_TOLD });
});
new LiveLink(liveUrl(location), hear).start();
