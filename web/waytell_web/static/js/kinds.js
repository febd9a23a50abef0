/**
 * The kinds of operation: what a person calls them, what ends their feed, and sensible first entries from the bar.
 *
 * @typedef {import("./types").Axis} Axis
 * @typedef {import("./types").Operation} Operation
 * @typedef {import("./types").PassKind} PassKind
 * @typedef {{ outside: number, bore: number, drill: number }} Bar   radii of the bar, and of the drill in use
 */

/**
 * @typedef {object} Kind
 * @property {string} words     in the list of kinds
 * @property {string} name      what such an operation is called at first
 * @property {string} end       what ends the feed
 * @property {string} start_label
 * @property {string} end_label
 * @property {string} target_label
 * @property {boolean} [plunges] no size is approached in passes, so there are no depths to plan
 * @property {(bar: Bar) => [start_mm: number, end_mm: number, target_mm: number]} first
 */

const RIM = "Outside of the bar";
const WALL = "Wall nearer the headstock, along";
const BEGINS = "Feed begins, along";

/** @type {Record<PassKind, Kind>} */
export const KINDS = {
  facing: {
    words: "facing: fed across", name: "face the end", end: "centre",
    start_label: RIM, end_label: "Feed ends at (0: the centre)", target_label: "Finished face, along",
    first: ({ outside, bore }) => [outside, bore, 0],
  },
  turning: {
    words: "turning: fed along", name: "turn to the shoulder", end: "shoulder",
    start_label: BEGINS, end_label: "Shoulder, along", target_label: "Finished size",
    first: ({ outside }) => [0, -10, outside],
  },
  boring: {
    words: "boring: fed along, inside", name: "bore", end: "end of the bore",
    start_label: BEGINS, end_label: "End of the bore, along", target_label: "Finished bore",
    first: ({ outside, bore }) => [0, -10, bore > 0 ? Math.min(bore + 1, outside) : outside / 2],
  },
  drilling: {
    words: "drilling: from the tailstock", name: "drill", end: "bottom of the hole", plunges: true,
    start_label: "Drill meets the work, along", end_label: "Its point goes to, along", target_label: "Drill",
    first: ({ outside, drill }) => [0, -10, drill || outside / 4],
  },
  taper: {
    words: "taper: fed by the compound slide", name: "turn the taper", end: "end of the taper",
    start_label: "Taper begins, along", end_label: "Taper ends, along", target_label: "Size where it begins",
    first: ({ outside }) => [0, -10, outside - 1],
  },
  chamfer: {
    words: "chamfer: fed by the compound slide", name: "chamfer", end: "end of the chamfer",
    start_label: "Chamfer begins, along", end_label: "Chamfer ends, along", target_label: "Size where it begins",
    first: ({ outside }) => [0, -1, outside - 1],
  },
  grooving: {
    words: "grooving: fed across", name: "cut the groove", end: "bottom of the groove", plunges: true,
    start_label: RIM, end_label: "Bottom of the groove", target_label: WALL,
    first: ({ outside, bore }) => [outside, Math.max(outside - 2, (outside + bore) / 2), -10],
  },
  parting: {
    words: "parting off", name: "part off", end: "centre", plunges: true,
    start_label: RIM, end_label: "Feed ends at (0: the centre)", target_label: WALL,
    first: ({ outside, bore }) => [outside, bore, -15],
  },
};

/** @param {PassKind} kind @returns {{ feed: Axis, held: Axis }} */
export function axesOf(kind) {
  return kind === "facing" || kind === "grooving" || kind === "parting" ? { feed: "X", held: "Z" } : { feed: "Z", held: "X" };
}

/** What ends the feed. @param {Operation} operation */
export function endWord({ kind, start_mm, end_mm }) {
  if (kind !== "facing" && kind !== "parting") return KINDS[kind].end;
  if (end_mm > start_mm) return "rim";
  return end_mm > 0 ? "edge of the bore" : "centre";
}
