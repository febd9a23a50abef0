/**
 * Doubt: which reasons stand in the way of a figure, and how a state looks once the server is no longer heard.
 *
 * @typedef {import("./types").Doubt} Doubt
 * @typedef {import("./types").Figure} Figure
 * @typedef {import("./types").LiveState} LiveState
 */

/** @param {number} silence_ms @returns {Doubt} */
export function noWord(silence_ms) {
  const seconds = Math.floor(silence_ms / 1000);
  const howLong = Number.isFinite(silence_ms) ? ` for ${Math.max(1, seconds)} s` : " yet";
  return {
    code: "no_word",
    words: `No word from the server${howLong}.`,
    do: "Stop winding. See that Waytell runs and this screen is on its network and not held up; the page comes back by itself.",
  };
}

/** A page from an older server may read a newer state wrongly: it must not try. @returns {Doubt} */
export function otherVersion() {
  return { code: "no_word", words: "This page is older than the server.", do: "Load the page again." };
}

/** @param {Figure} figure @returns {Figure} */
function struck(figure) {
  if (figure.good) return { good: false, last_mm: figure.value_mm, reasons: ["no_word"] };
  return { ...figure, reasons: ["no_word"] };
}

/**
 * The same state with nothing in it that could pass for live.
 * @param {LiveState} state @param {Doubt} doubt @returns {LiveState}
 */
export function distrust(state, doubt) {
  const { remaining } = state;
  return {
    ...state,
    doubts: [doubt],
    axes: state.axes.map((axis) => ({ ...axis, position: struck(axis.position), velocity_mm_s: 0 })),
    slides: state.slides.map((slide) => ({ ...slide, counts: null, length_mm: null })),
    to_go: state.to_go && struck(state.to_go),
    remaining: remaining && {
      ...remaining,
      this_pass: struck(remaining.this_pass),
      total: struck(remaining.total),
    },
    learned: null,
    reached: false,
    overrun: { state: "none", time_left_s: null, past_mm: 0 },
    hold: null,
    spindle: null,
    cutting: null,
    stroke: null,
    alarms: [],
    guide: { state: "link", move: "Stop winding.", why: doubt.words, yes: null, no: null },
  };
}

/**
 * The reasons to show for a figure, in words; all that stand where the figure names none.
 * @param {LiveState} state @param {Figure | null} figure @returns {Doubt[]}
 */
export function doubtsOf(state, figure) {
  if (!figure || figure.good) return [];
  const named = state.doubts.filter((doubt) => figure.reasons.includes(doubt.code));
  return named.length > 0 ? named : state.doubts;
}

/** Not yet touched off is a thing to do; every other doubt is a fault. @param {Doubt} doubt */
export function isFault(doubt) {
  return doubt.code !== "not_referenced";
}
