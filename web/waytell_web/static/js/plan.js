/**
 * The Plan page: from a drawing to operations. Holds what is typed, asks the server what becomes of it, and draws both.
 *
 * @typedef {import("./plan_types").Draft} Draft
 * @typedef {import("./plan_types").Kept} Kept
 * @typedef {import("./plan_types").PlannedStep} PlannedStep
 * @typedef {import("./plan_types").Screen} Screen
 * @typedef {import("./plan_types").Seen} Seen
 * @typedef {import("./types").LiveState} LiveState
 * @typedef {import("./types").Units} Units
 */

import { html, render } from "../vendor/htm-preact-3.1.1.module.js";
import { tell } from "./acts.js";
import { find } from "./dom.js";
import { Mistyped } from "./fields.js";
import { followLook } from "./look.js";
import { sendable } from "./operations.js";
import { draftOf, emptyDraft, isBegun, partOf, says, toTry } from "./plan_draft.js";
import { begun, redone, typedOn, undone } from "./plan_history.js";
import { firstOpen } from "./plan_questions.js";
import { planScreen, shownOf } from "./plan_screen.js";
import { askWhatIf, get, readPart, tryPart } from "./plan_server.js";
import { screenAt } from "./plan_words.js";

const ASK_EVERY_MS = 1000;
const TRY_AFTER_MS = 150;
/** @type {[Screen, string][]} */
const SCREENS = [["plan", "Plan"], ["tables", "Tables"]];
const UNSAID = { refusal: null, words: "" };

/** @type {Seen | null} */
let seen = null;
let silent = false;
let heardEvents = -1;
/** The units in which the draft is typed. @type {Units | null} */
let typedIn = null;
let tryTimer = 0;
let asked = 0;

// -- asking ---------------------------------------------------------------------------------------------------------------

async function ask() {
  const state = /** @type {LiveState | null} */ (await get("api/state"));
  silent = state === null;
  if (state && (!seen || state.events !== heardEvents)) await askForPlan(state);
  else if (state) see({ state });
  if (seen && state) followUnits(state.units);
  see({ silent });
  setTimeout(ask, ASK_EVERY_MS);
}

/** @param {LiveState} state */
async function askForPlan(state) {
  const [kept, tables] = await Promise.all([/** @type {Promise<Kept | null>} */ (get("api/plan")), get("api/plan/tables")]);
  silent = !kept || !tables;
  if (!kept || !tables) return;
  heardEvents = state.events;
  if (!seen) return first(state, kept, tables);
  // Another display may have changed the part: what is typed here gives way only where nothing was typed.
  const followed = says(seen.history.now, seen.kept.part, state.units) && kept.part && !says(seen.history.now, kept.part, state.units);
  see({ state, kept, tables });
  if (followed && kept.part) restart(draftOf(kept.part, state.units));
  else tryLater();
  askForWhatIf();
}

/** @param {LiveState} state @param {Kept} kept @param {import("./plan_types").Tables} tables */
function first(state, kept, tables) {
  typedIn = state.units;
  const draft = kept.part ? draftOf(kept.part, state.units) : emptyDraft();
  seen = {
    state, kept, tables, history: begun(draft), tried: null, refusal: null, told: UNSAID, open: firstOpen(draft), setUp: kept.set_up === 2 ? 2 : 1,
    step: null, whatIf: null, shows: "deflection", screen: screenAt(location.hash), silent: false, look: "",
  };
  tryLater();
}

/** What was typed is told in the new units. @param {Units} units */
function followUnits(units) {
  if (!seen || !typedIn || typedIn.length === units.length) return;
  try {
    restart(draftOf(partOf(seen.history.now, typedIn), units));
  } catch {
    // What cannot be read yet stays as it was typed.
  }
  typedIn = units;
}

function tryLater() {
  clearTimeout(tryTimer);
  tryTimer = setTimeout(tryNow, TRY_AFTER_MS);
}

async function tryNow() {
  if (!seen) return;
  const mine = ++asked;
  if (!isBegun(seen.history.now)) return see({ tried: null, refusal: null });
  try {
    const { part, keys } = toTry(seen.history.now, seen.state.units);
    const { answer, refusal } = await tryPart(part);
    if (mine !== asked) return;
    const before = answer?.plan ?? seen.tried?.before ?? seen.kept.planned?.plan ?? null;
    see(answer ? { tried: { planned: answer, keys, before }, refusal: null } : { refusal });
    askForWhatIf();
  } catch (problem) {
    if (!(problem instanceof Mistyped)) throw problem;
    see({ refusal: { error: problem.message, do: "Type a number, such as 12.5. The plan stays as it was until then." } });
  }
}

async function askForWhatIf() {
  if (!seen) return;
  const { planned } = shownOf(seen);
  const { step } = seen;
  if (step === null || !planned?.plan) return see({ whatIf: null });
  const { answer } = await askWhatIf(planned.plan.part, step);
  // Another one may have been chosen while this one was on its way.
  if (seen.step === step) see({ whatIf: answer });
}

// -- deeds ----------------------------------------------------------------------------------------------------------------

/** @param {Partial<Seen>} change */
function see(change) {
  if (seen) seen = { ...seen, ...change };
  draw();
}

/** @param {Draft} draft */
function restart(draft) {
  if (!seen) return;
  see({ history: typedOn(seen.history, "", draft), step: null, whatIf: null });
  tryLater();
}

/** @type {import("./plan_types").Deeds} */
const deeds = {
  see,
  type(about, change) {
    if (!seen) return;
    see({ history: typedOn(seen.history, about, change(seen.history.now)), told: UNSAID });
    tryLater();
  },
  undo: () => rewrite(undone),
  redo: () => rewrite(redone),
  keep: () => telling(async () => (await keep()) ?? null, "The part is in use."),
  use: (step) => telling(() => use(step), `${step.operation.name}: chosen at the lathe.`),
  inChuck: (of_part) => telling(async () => (await keep()) ?? tell({ act: "new_set_up", stock: null, note: "", of_part }), "Told. Touch the tool off before the first pass."),
  takeBack: () => telling(() => tell({ act: "undo" }), "Taken back."),
  async read(file) {
    if (!seen) return;
    const { answer, refusal } = await readPart(await file.text());
    see({ told: { refusal, words: answer ? `Read from ${file.name}. Look it over, then use it.` : "" } });
    if (answer) deeds.begin(draftOf(answer, seen.state.units));
  },
  begin(draft) {
    restart(draft);
    see({ open: firstOpen(draft), setUp: 1 });
  },
  choose(step) {
    const setUp = seen && shownOf(seen).planned?.plan?.steps.find(({ number }) => number === step)?.set_up;
    see({ step, whatIf: null, ...(setUp ? { setUp: setUp === 2 ? 2 : 1 } : {}) });
    askForWhatIf();
  },
  reload() {
    heardEvents = -1;
  },
};

/** @param {typeof undone} step */
function rewrite(step) {
  if (!seen) return;
  see({ history: step(seen.history) });
  tryLater();
}

/** @param {() => Promise<import("./types").Refusal | null>} act @param {string} words where it was done */
async function telling(act, words) {
  let refusal = null;
  try {
    refusal = await act();
  } catch (problem) {
    if (!(problem instanceof Mistyped)) throw problem;
    refusal = { error: problem.message, do: "Tell it, or take that feature out." };
  }
  see({ told: { refusal, words: refusal ? "" : words } });
  heardEvents = -1;
}

/** Hands the part over, where the lathe has not got it as it stands. */
async function keep() {
  if (!seen || says(seen.history.now, seen.kept.part, seen.state.units)) return null;
  const part = partOf(seen.history.now, seen.state.units);
  const refusal = await tell({ act: "use_part", part });
  if (!refusal) see({ kept: { ...seen.kept, part, planned: seen.tried?.planned ?? null } });
  return refusal;
}

/** @param {PlannedStep} step */
async function use(step) {
  const kept = await keep();
  if (kept) return kept;
  const chosen = step.tool && seen?.state.tool?.tool.name !== step.tool ? await tell({ act: "choose_tool", tool: step.tool }) : null;
  return chosen ?? tell({ act: "choose_operation", operation: sendable(step.operation) });
}

// -- drawing --------------------------------------------------------------------------------------------------------------

let drawn = false;
/** The tables come when they are opened first. @type {typeof import("./plan_tables.js").tablesView | null} */
let tablesView = null;

let loading = false;

async function loadTables() {
  if (loading) return;
  loading = true;
  try {
    ({ tablesView } = await import("./plan_tables.js"));
    draw();
  } catch {
    loading = false; // Asked for again when it is drawn again.
  }
}

/** @param {Seen} now */
function tablesScreen(now) {
  if (!tablesView) loadTables();
  return html`<main class="one-screen">${tablesView ? tablesView(now, deeds) : html`<p class="none">Asking the server for the tables.</p>`}</main>`;
}

function draw() {
  const place = find("[data-plan]");
  if (!seen && !silent) return;
  if (!drawn) place.replaceChildren();
  drawn = true;
  const look = document.documentElement.dataset.look ?? "";
  render(seen ? page({ ...seen, look }) : html`<p class="asking">The server does not answer. This page keeps asking.</p>`, place);
}

/** @param {Seen} now */
function page(now) {
  const { screen, state } = now;
  return html`<header class="title-line">
      <p class="what">${state.machine}${state.demo ? ": demonstration" : ""}</p>
      <nav aria-label="Screens">
        ${SCREENS.map(([name, words]) => html`<button type="button" class="tab" aria-pressed=${screen === name} onClick=${() => go(name)}>${words}</button>`)}
        <a class="tab" href="prove">Prove</a>
        <a class="tab" href="review">Review</a>
        <a class="tab" href=".">To the cut</a>
      </nav>
    </header>
    ${now.silent ? html`<p class="silent" role="alert">The server does not answer: the plan is not made anew.</p>` : ""}
    ${screen === "tables" ? tablesScreen(now) : planScreen({ seen: now, deeds })}`;
}

/** @param {Screen} screen */
function go(screen) {
  history.replaceState(null, "", `#${screen}`);
  see({ screen });
}

/** @param {KeyboardEvent} event */
function keys(event) {
  if (!(event.ctrlKey || event.metaKey) || event.altKey || seen?.screen !== "plan") return;
  const key = event.key.toLowerCase();
  const deed = key === "y" || (key === "z" && event.shiftKey) ? deeds.redo : key === "z" ? deeds.undo : null;
  if (!deed) return;
  event.preventDefault();
  deed();
}

followLook();
new MutationObserver(draw).observe(document.documentElement, { attributeFilter: ["data-look"] });
addEventListener("hashchange", () => see({ screen: screenAt(location.hash) }));
addEventListener("resize", draw);
addEventListener("keydown", keys);
ask();
