/**
 * The sheet on which one act is entered, beside the figures so that they stay in sight.
 *
 * @typedef {import("./types").Act} Act
 * @typedef {import("./types").LiveState} LiveState
 * @typedef {"touch" | "depth" | "size" | "operation" | "compound" | "tool" | "part" | "history" | "cautions" | "faults"} SheetName
 * @typedef {{ state: LiveState, close: () => void }} SheetInputs
 */

import { html, render, useEffect, useRef, useState } from "../vendor/htm-preact-3.1.1.module.js";
import { getConfig, getEvents, tell, tryFault } from "./acts.js";
import { Cautions } from "./cautions.js";
import { LengthField, readLength, useFields } from "./fields.js";
import { fieldText } from "./figures.js";
import { SendForm } from "./form.js";
import { HistorySheet } from "./history_sheet.js";
import { KINDS } from "./kinds.js";
import { NumberPad } from "./number_pad.js";
import { knownOperations, sendable } from "./operations.js";
import { PartSheet } from "./part_sheet.js";
import { TouchSheet } from "./touch_sheet.js";

/** @type {Record<SheetName, { title: string, Body: (inputs: SheetInputs) => unknown }>} */
const SHEETS = {
  touch: { title: "Touched off", Body: TouchSheet },
  depth: { title: "Depth of a pass", Body: DepthSheet },
  size: { title: "Size to reach", Body: SizeSheet },
  operation: { title: "Next operation", Body: OperationSheet },
  compound: { title: "Wound on the compound", Body: CompoundSheet },
  tool: { title: "Tool in the post", Body: ToolSheet },
  part: { title: "The part", Body: PartSheet },
  history: { title: "What was told so far", Body: HistorySheet },
  cautions: { title: "Before the spindle starts", Body: Cautions },
  faults: { title: "Demonstration: try a fault", Body: FaultSheet },
};

export class EntrySheet {
  /** @param {HTMLElement} place */
  constructor(place) {
    this.place = place;
    /** @type {Element | null} */
    this.cameFrom = null;
    place.addEventListener("keydown", (press) => {
      if (press.key === "Escape") this.close();
    });
  }

  /** @param {SheetName} name @param {LiveState} state */
  open(name, state) {
    this.cameFrom = document.activeElement;
    const { title, Body } = SHEETS[name];
    const close = () => this.close();
    this.place.hidden = false;
    setBeneath(true);
    render(null, this.place);
    render(html`<${Sheet} title=${title}><${Body} state=${state} close=${close} /></${Sheet}>`, this.place);
    focusFirst(this.place);
  }

  close() {
    render(null, this.place);
    this.place.hidden = true;
    setBeneath(false);
    if (this.cameFrom instanceof HTMLElement) this.cameFrom.focus();
  }
}

/** What lies under the sheet cannot be come to by the keyboard. @param {boolean} covered */
function setBeneath(covered) {
  for (const part of document.querySelectorAll("[data-acts], .pictures")) part.toggleAttribute("inert", covered);
}

/** @param {HTMLElement} place */
function focusFirst(place) {
  const first = place.querySelector('input[type="text"], input:checked, button');
  if (first instanceof HTMLElement) first.focus();
}

/** @param {{ title: string, children?: unknown }} inputs */
function Sheet({ title, children }) {
  return html`<div class="entry-sheet" role="dialog" aria-label=${title}><h2>${title}</h2>${children}<${NumberPad} /></div>`;
}

/** @param {SheetInputs} inputs */
function DepthSheet({ state, close }) {
  const { units, operation } = state;
  const along = operation?.held_axis ?? "Z";
  const { values, change } = useFields({ depth: operation ? fieldText(operation.depth_mm, along, units) : "" });
  const label = "Deepest roughing pass";
  const send = async () => tell({ act: "set_depth", depth_mm: readLength(label, values.depth, along, units) });
  return html`<${SendForm} button="Use this depth" send=${send} done=${close} cancel=${close}>
    <${LengthField} label=${label} value=${values.depth} onInput=${change("depth")} along=${along} units=${units} first />
  </${SendForm}>`;
}

/** @param {SheetInputs} inputs */
function SizeSheet({ state, close }) {
  const { units, operation } = state;
  const along = operation?.held_axis ?? "X";
  const { values, change } = useFields({ target: operation ? fieldText(operation.target_mm, along, units) : "" });
  const label = operation ? KINDS[operation.kind].target_label : "Finished size";
  const send = async () => tell({ act: "set_target", target_mm: readLength(label, values.target, along, units) });
  return html`<${SendForm} button="Use this size" send=${send} done=${close} cancel=${close}>
    <${LengthField} label=${label} value=${values.target} onInput=${change("target")} along=${along} units=${units} first />
  </${SendForm}>`;
}

/** @param {SheetInputs} inputs */
function CompoundSheet({ state, close }) {
  const { units } = state;
  const { values, change } = useFields({ wound: "" });
  const label = "Wound in";
  const send = async () => tell({ act: "compound_wound", wound_in_mm: readLength(label, values.wound, "slide", units) });
  return html`<${SendForm} button="Wound in" send=${send} done=${close} cancel=${close}>
    <${LengthField} label=${label} value=${values.wound} onInput=${change("wound")} along="slide" units=${units} first
      hint="As read on the dial of the compound slide; with a minus where it was wound out. Not measured, and marked so." />
  </${SendForm}>`;
}

/** @param {SheetInputs} inputs */
function OperationSheet({ state, close }) {
  const [known, setKnown] = useState(/** @type {import("./types").PlannedOperation[]} */ ([]));
  useEffect(() => {
    getEvents().then((events) => setKnown(knownOperations(events ?? [])));
  }, []);
  return html`<${Buttons} close=${close} note="A new operation is entered under Set up." choices=${known.map((operation) => ({
    words: operation.name,
    now: operation.name === state.operation?.name,
    send: () => tell({ act: "choose_operation", operation: sendable(operation) }),
  }))} />`;
}

/** @param {SheetInputs} inputs */
function ToolSheet({ state, close }) {
  const [names, setNames] = useState(/** @type {string[]} */ ([]));
  useEffect(() => {
    getConfig().then((config) => setNames(config?.tools.map((tool) => tool.name) ?? []));
  }, []);
  return html`<${Buttons} close=${close} note="Tools are described under Set up." choices=${names.map((name) => ({
    words: name,
    now: name === state.tool?.tool.name,
    send: () => tell({ act: "choose_tool", tool: name }),
  }))} />`;
}

/** @param {SheetInputs} inputs */
function FaultSheet({ state, close }) {
  const faults = state.demo?.faults ?? [];
  return html`<${Buttons} close=${close} note=${state.demo?.words ?? ""} choices=${faults.map((fault) => ({
    words: fault.replaceAll("_", " "),
    now: false,
    send: () => tryFault(fault),
  }))} />`;
}

/** @typedef {{ words: string, now: boolean, send: () => Promise<import("./types").Refusal | null> }} OneOf */

/** One press each, and the number keys for the first nine. @param {{ choices: OneOf[], note: string, close: () => void }} inputs */
function Buttons({ choices, note, close }) {
  const chosen = useRef(0);
  const place = useRef(/** @type {HTMLElement | null} */ (null));
  useEffect(() => pressByNumber(() => place.current), []);
  return html`<p class="field-hint">${note}</p>
    <${SendForm} send=${() => choices[chosen.current].send()} done=${close} cancel=${close}>
      <div class="one-of" ref=${place}>
        ${choices.map(({ words, now }, n) => html`<button key=${words} type="submit" aria-current=${now} onClick=${() => (chosen.current = n)}>
          ${words}${now ? " (now)" : ""} ${n < 9 && html`<kbd>${n + 1}</kbd>`}
        </button>`)}
      </div>
    </${SendForm}>`;
}

/** While a list is open its numbers go before those of the acts. @param {() => HTMLElement | null} place */
function pressByNumber(place) {
  /** @param {KeyboardEvent} press */
  const listen = (press) => {
    const button = /^[1-9]$/.test(press.key) && place()?.querySelectorAll("button")[Number(press.key) - 1];
    if (!button) return;
    press.stopImmediatePropagation();
    button.click();
  };
  document.addEventListener("keydown", listen, { capture: true });
  return () => document.removeEventListener("keydown", listen, { capture: true });
}
