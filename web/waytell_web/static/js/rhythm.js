/**
 * When to sound what. Pure: from states to intervals and rhythms; making the sound is another file's work.
 *
 * @typedef {import("./types").LiveState} LiveState
 * @typedef {"reached" | "overrun" | "held_moved" | "held_too_far" | "doubtful"} SignalName
 *
 * @typedef {object} Beat
 * @property {number} at_s
 * @property {number} for_s
 * @property {number} hz
 *
 * @typedef {object} Signal
 * @property {Beat[]} beats
 * @property {number} every_s  from one beginning to the next
 * @property {number} times    how often; Infinity for as long as its cause stands
 */

const FAR_MM = 10;
const NEAR_MM = 0.02;
const SLOWEST_S = 1.0;
const FASTEST_S = 0.07;

/** Different in rhythm, not in pitch alone: a hard-of-hearing ear beside a running motor still tells them apart. @type {Record<SignalName, Signal>} */
export const SIGNALS = {
  // two long
  reached: { beats: [beat(0, 0.28, 880), beat(0.36, 0.28, 880)], every_s: 1, times: 1 },
  // four quick, again and again
  overrun: { beats: [0, 0.1, 0.2, 0.3].map((at) => beat(at, 0.06, 1250)), every_s: 0.6, times: Infinity },
  // short, long
  held_moved: { beats: [beat(0, 0.08, 620), beat(0.16, 0.36, 620)], every_s: 1.4, times: Infinity },
  // short, short, long
  held_too_far: { beats: [beat(0, 0.08, 740), beat(0.15, 0.08, 740), beat(0.3, 0.4, 740)], every_s: 0.9, times: Infinity },
  // very long, short, short; a few times, then the screen alone says it
  doubtful: { beats: [beat(0, 0.6, 330), beat(0.75, 0.1, 330), beat(0.95, 0.1, 330)], every_s: 2, times: 3 },
};

/** @param {number} at_s @param {number} for_s @param {number} hz @returns {Beat} */
function beat(at_s, for_s, hz) {
  return { at_s, for_s, hz };
}

/** One closing tick. @type {Beat} */
export const TICK = beat(0, 0.012, 2100);

/** What each signal says, where it can be heard beforehand. @type {Record<SignalName, string>} */
export const SIGNAL_WORDS = {
  reached: "reached: two long",
  overrun: "overrun: four quick, again and again",
  held_moved: "held slide moved: short, long",
  held_too_far: "held slide moved too far: short, short, long",
  doubtful: "readings doubtful: very long, short, short",
};

/**
 * Seconds to the next closing tick; null while nothing closes. Each tenfold nearer quickens it by the same step.
 * @param {LiveState} state @returns {number | null}
 */
export function tickInterval(state) {
  const closing = state.overrun.state === "ahead" || state.overrun.state === "soon";
  if (!closing || state.reached || !state.to_go?.good) return null;
  const distance_mm = state.to_go.value_mm;
  if (distance_mm <= 0 || distance_mm > FAR_MM) return null;
  const share = Math.log(Math.max(distance_mm, NEAR_MM) / NEAR_MM) / Math.log(FAR_MM / NEAR_MM);
  return FASTEST_S + (SLOWEST_S - FASTEST_S) * share;
}

/** Whether the page has figures that can be trusted at all. @param {LiveState} state */
function hasGoodFigure(state) {
  return state.axes.some((axis) => axis.position.good);
}

/** @param {LiveState} state @returns {SignalName | null} */
function standingAlarm(state) {
  const codes = new Set(state.alarms.map((alarm) => alarm.code));
  if (codes.has("overrun_past") || codes.has("overrun_soon")) return "overrun";
  if (codes.has("held_slide_limit")) return "held_too_far";
  return codes.has("held_slide_warning") ? "held_moved" : null;
}

/**
 * What to sound now. `before` is the state drawn before this one: reaching and losing trust are changes.
 * @param {LiveState | null} before @param {LiveState} now @param {SignalName | null} sounding @returns {SignalName | null}
 */
export function signalFor(before, now, sounding) {
  const lost = before !== null && hasGoodFigure(before) && !hasGoodFigure(now);
  if (lost || (sounding === "doubtful" && !hasGoodFigure(now))) return "doubtful";
  const standing = standingAlarm(now);
  if (standing) return standing;
  if (before && !before.reached && now.reached) return "reached";
  return sounding === "reached" && now.reached ? "reached" : null;
}
