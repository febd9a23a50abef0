/**
 * The live part of the Cut screen: figures, hold, doubt, alarms. Writes straight to the page.
 *
 * @typedef {import("./types").Figure} Figure
 * @typedef {import("./types").LiveState} LiveState
 * @typedef {import("./figures.js").Along} Along
 */

import { find, setAttribute, setProperty, setShown, setText } from "./dom.js";
import { doubtsOf, isFault } from "./doubt.js";
import { axisSign, decimalsOf, figureShown, lengthText, NO_NUMBER, unitPhrase, widest } from "./figures.js";
import { Steady } from "./steady.js";
import * as words from "./words.js";

// Room is kept for a number of two digits at the least.
const SAMPLE_MM = 10;

/** @param {string} name */
const figureElement = (name) => find(`[data-figure="${name}"]`);

const TOLD = ["to-go", "position-X", "position-Z"];

/** The figures that stand there as good, as a person reads them. @returns {Record<string, string>} */
export function onScreen() {
  const figures = TOLD.map((name) => ({ name, element: figureElement(name) }));
  const good = figures.filter(({ element }) => element.dataset.doubtful === "false");
  return Object.fromEntries(good.map(({ name, element }) => [name, element.textContent ?? ""]));
}

/** @type {WeakMap<HTMLElement, { of: string, steady: Steady }>} */
const steadies = new WeakMap();

/** One that is shown in other units, of another axis or to other digits begins anew. @param {HTMLElement} element @param {string} of */
function steadyOf(element, of) {
  const before = steadies.get(element);
  if (before?.of === of) return before.steady;
  const steady = new Steady();
  steadies.set(element, { of, steady });
  return steady;
}

/** @param {HTMLElement} element @param {Figure | null} figure @param {Along} along @param {LiveState} state @param {number} decimals */
function drawFigure(element, figure, along, state, decimals) {
  const steady = steadyOf(element, `${along} ${state.units.length} ${state.units.x_as} ${decimals} ${state.operation?.name}`);
  const shown = figureShown(figure, along, state.units, decimals, (digits) => steady.step(digits, state.t_s));
  setText(element, shown.text);
  setAttribute(element, "data-doubtful", String(shown.doubtful));
  setAttribute(element, "data-none", String(shown.text === NO_NUMBER));
  return shown;
}

export class CutScreen {
  constructor() {
    this.parts = findParts();
    this.announced = "";
  }

  /** @param {LiveState} state */
  draw(state) {
    this.drawWhat(state);
    setAttribute(this.parts.screen, "data-planned", String(state.operation !== null));
    this.drawToGo(state);
    this.drawDoubt(state);
    this.drawLeft(state);
    this.drawHold(state);
    this.drawLearned(state);
    this.drawPositions(state);
    this.drawAlarms(state);
    setText(this.parts.quiet, words.quietText(state));
  }

  /** @param {LiveState} state */
  drawWhat(state) {
    const names = [state.operation?.name, state.tool?.tool.name, state.machine];
    setText(this.parts.what, names.filter(Boolean).join(" \u00b7 "));
    setText(this.parts.part, `Part ${state.work.part}`);
  }

  /** @param {LiveState} state */
  drawToGo(state) {
    const { parts } = this;
    const along = state.operation?.feed_axis ?? "Z";
    const decimals = decimalsOf(words.axisOf(state, along), state.units);
    const shown = drawFigure(parts.toGo, absolute(state.to_go), along, state, decimals);
    setText(parts.toGoLabel, words.toGoLabel(state));
    setText(parts.toGoUnit, unitPhrase(along, state.units));
    setText(parts.toGoU, shown.u ? `\u00b1 ${shown.u} (95 %)` : "");
    const end = words.endState(state);
    setAttribute(parts.toGoBlock, "data-end", end.name);
    setText(parts.endWord, end.words);
    setProperty(parts.toGoBlock, "--characters", String(widest([shown.text, longestToGo(state, along, decimals)])));
  }

  /** @param {LiveState} state */
  drawDoubt(state) {
    const { parts } = this;
    const doubts = mainDoubts(state);
    setShown(parts.doubt, doubts.length > 0);
    setAttribute(parts.doubt, "data-level", doubts.some(isFault) ? "fault" : "to-do");
    setText(parts.doubtWords, doubts.map((doubt) => doubt.words).join(" "));
    setText(parts.doubtDo, doubts.map((doubt) => doubt.do).join(" "));
    setShown(parts.confirm, doubts.some((doubt) => doubt.code === "board_restarted"));
  }

  /** @param {LiveState} state */
  drawLeft(state) {
    const { parts } = this;
    const { operation, remaining } = state;
    const along = operation?.held_axis ?? "Z";
    const decimals = decimalsOf(words.axisOf(state, along), state.units);
    setText(parts.leftLabel, words.leftLabel(state));
    drawFigure(parts.remainingPass, remaining?.this_pass ?? null, along, state, decimals);
    drawFigure(parts.remainingTotal, remaining?.total ?? null, along, state, decimals);
    setText(parts.passesLeft, words.passesLeftText(state));
  }

  /** @param {LiveState} state */
  drawHold(state) {
    const { parts } = this;
    setAttribute(parts.hold, "data-hold", state.hold?.state ?? "unknown");
    setText(parts.holdTitle, words.holdTitle(state, state.hold));
    setText(parts.holdDetail, words.holdDetail(state, state.hold));
  }

  /** What the micrometer taught, once it did. @param {LiveState} state */
  drawLearned({ learned }) {
    setShown(this.parts.learned, learned !== null);
    setText(this.parts.learned, learned?.words ?? "");
  }

  /** @param {LiveState} state */
  drawPositions(state) {
    for (const axis of state.axes) {
      const element = axis.axis === "X" ? this.parts.positionX : this.parts.positionZ;
      drawFigure(element, axis.position, axis.axis, state, decimalsOf(axis, state.units));
    }
    setText(this.parts.signX, axisSign("X", state.units));
  }

  /** @param {LiveState} state */
  drawAlarms(state) {
    const { alarms } = this.parts;
    setShown(alarms, state.alarms.length > 0);
    setAttribute(alarms, "data-level", worstLevel(state));
    setText(alarms, state.alarms.map((alarm) => alarm.words).join("  \u2022  "));
    this.announce(state);
  }

  /** Spoken once when something new is wrong, not again with each changed digit. @param {LiveState} state */
  announce(state) {
    const reasons = [...state.alarms, ...state.doubts.filter(isFault)];
    const codes = reasons.map((reason) => reason.code).join();
    if (codes === this.announced) return;
    this.announced = codes;
    setText(this.parts.announcement, reasons.map((reason) => reason.words).join(" "));
  }
}

/** Past the end, the words say so and the number needs no sign. @param {Figure | null} figure @returns {Figure | null} */
function absolute(figure) {
  return figure?.good ? { ...figure, value_mm: Math.abs(figure.value_mm) } : figure;
}

/** Room for the longest number of this operation. @param {LiveState} state @param {Along} along @param {number} decimals */
function longestToGo(state, along, decimals) {
  const { operation } = state;
  const span_mm = operation ? Math.abs(operation.start_mm - operation.end_mm) : 0;
  return lengthText(Math.max(SAMPLE_MM, span_mm), along, state.units, decimals);
}

/** The doubts of the largest figure, without one those of anything else: faults first, alone. @param {LiveState} state */
function mainDoubts(state) {
  const doubts = state.to_go ? doubtsOf(state, state.to_go) : state.doubts;
  const faults = doubts.filter(isFault);
  return faults.length > 0 ? faults : doubts;
}

/** @param {LiveState} state */
function worstLevel(state) {
  const levels = state.alarms.map((alarm) => alarm.level);
  return ["danger", "warning", "must_act", "normal"].find((level) => levels.some((one) => one === level)) ?? "neutral";
}

function findParts() {
  return {
    screen: find("#cut"),
    what: find("[data-what]"),
    part: find("[data-part]"),
    toGo: figureElement("to-go"),
    toGoBlock: find("[data-to-go]"),
    toGoLabel: find("[data-to-go-label]"),
    toGoUnit: find("[data-to-go-unit]"),
    toGoU: find("[data-to-go-u]"),
    endWord: find("[data-end-word]"),
    doubt: find("[data-doubt]"),
    doubtWords: find("[data-doubt-words]"),
    doubtDo: find("[data-doubt-do]"),
    confirm: find("[data-confirm]"),
    leftLabel: find("[data-left-label]"),
    remainingPass: figureElement("remaining-pass"),
    remainingTotal: figureElement("remaining-total"),
    passesLeft: find("[data-passes-left]"),
    hold: find("[data-hold]"),
    holdTitle: find("[data-hold-title]"),
    holdDetail: find("[data-hold-detail]"),
    learned: find("[data-learned]"),
    quiet: find("[data-quiet]"),
    positionX: figureElement("position-X"),
    positionZ: figureElement("position-Z"),
    signX: find("[data-sign-X]"),
    alarms: find("[data-alarms]"),
    announcement: find("[data-announce]"),
  };
}
