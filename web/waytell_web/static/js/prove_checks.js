/**
 * The ten checks: what each asks, of what there is one for each slide or state of the motor, and how far one has come. Pure.
 *
 * @typedef {import("./prove_types").Check} Check
 * @typedef {import("./prove_types").DatedProof} DatedProof
 * @typedef {import("./prove_types").Kind} Kind
 * @typedef {import("./prove_types").Place} Place
 * @typedef {import("./prove_types").ProvingNow} ProvingNow
 * @typedef {import("./prove_types").ScaleNow} ScaleNow
 * @typedef {import("./prove_types").Verdict} Verdict
 * @typedef {import("./types").Slide} Slide
 */

import { SLIDES } from "./prove_words.js";

/**
 * @typedef {object} About
 * @property {string} words
 * @property {string} asks      the question it answers
 * @property {string} ready     what has to be at hand
 * @property {"any slide" | "scales" | "motor" | "once"} each  of what there is one check each
 * @property {boolean} captures  something is captured in it; the others only watch
 */

/** In a workable order: each rests on those before it. @type {Record<Kind, About>} */
export const CHECKS = {
  link: { words: "Link to the board", asks: "Does every reading arrive, and in time?", ready: "Nothing; do not touch the cable for ten seconds.", each: "once", captures: false },
  slide: { words: "Scale and direction", asks: "Which scale is on which slide, and which way does it count?", ready: "A slide that can be wound by some millimetres.", each: "any slide", captures: false },
  rest: { words: "At rest", asks: "What do the scales show while nothing moves?", ready: "Hands off the lathe. Do it with the motor off, then with the motor on.", each: "motor", captures: false },
  winding: { words: "Fast winding", asks: "Is a count lost when a slide is wound fast?", ready: "A stop, or a dial\u2019s zero, to come back to.", each: "scales", captures: true },
  distance: { words: "Known distance", asks: "Is a millimetre on the scale a millimetre?", ready: "Something whose length is known, and a stop or a dial to find its ends with.", each: "scales", captures: true },
  map: { words: "Error map", asks: "Where along the scale is it wrong, and by how much?", ready: "Places that are known, and a stop that can be found again.", each: "scales", captures: true },
  positioning: { words: "From both sides", asks: "Does the slide come back to the same place, whichever way it comes?", ready: "A dial indicator, or blocks, at two places or more.", each: "scales", captures: true },
  disc: { words: "Faced disc", asks: "Does the cross-slide run square to the spindle?", ready: "A disc that was faced at one setting, and a dial on the cross-slide. X must be touched off.", each: "once", captures: true },
  collars: { words: "Two collars", asks: "Does the carriage run parallel to the spindle?", ready: "A bar with two collars turned at one setting, and a micrometer.", each: "once", captures: true },
  temperature: { words: "Temperature", asks: "How much do warmth and cold change a length?", ready: "A thermometer that has lain on the lathe for a while.", each: "scales", captures: false },
};

/** @type {Kind[]} */
export const KINDS = /** @type {Kind[]} */ (Object.keys(CHECKS));

/** @type {Slide[]} */
const ALL_SLIDES = ["cross", "carriage", "compound", "tailstock"];
/** Every lathe has them, whether a scale is on them yet or not. @type {Slide[]} */
const MAIN_SLIDES = ["cross", "carriage"];

/** What a kind can be begun with. @param {Kind} kind @param {ScaleNow[]} scales @returns {[string, string][]} */
export function variantsOf(kind, scales) {
  const { each } = CHECKS[kind];
  if (each === "motor") return [["off", "motor off"], ["on", "motor on"]];
  if (each === "once") return [];
  const slides = each === "any slide" ? ALL_SLIDES : ALL_SLIDES.filter((one) => scales.some(({ slide }) => slide === one));
  return slides.map((slide) => [slide, SLIDES[slide]]);
}

/** What has to be done for a kind to be done; "" where it is done once. @param {Kind} kind @param {ScaleNow[]} scales */
function wanted(kind, scales) {
  const { each } = CHECKS[kind];
  if (each === "once") return [""];
  const variants = variantsOf(kind, scales).map(([variant]) => variant);
  if (each !== "any slide") return variants;
  return variants.filter((one) => MAIN_SLIDES.some((slide) => slide === one) || scales.some(({ slide }) => slide === one));
}

/** @param {Check} check */
export function variantOf({ motor, slide }) {
  return motor ?? slide ?? "";
}

/** Of one kind and variant, the newest first. @param {DatedProof[]} proofs @param {Kind} kind @param {string} variant */
export function findingsOf(proofs, kind, variant) {
  return proofs.filter(({ proof: { check } }) => check.kind === kind && variantOf(check) === variant);
}

/** @param {Check} check */
export function titleOf(check) {
  const of = check.slide ? `: ${SLIDES[check.slide]}` : check.motor ? `, motor ${check.motor}` : "";
  return `${CHECKS[check.kind].words}${of}`;
}

/** @type {Verdict[]} */
const WORST_FIRST = ["bad", "fair", "good"];

/** How far a kind has come: the worst of the newest findings of each variant. @param {Kind} kind @param {ProvingNow} proving @returns {{ verdict: Verdict | null, wall: string, done: number, of: number }} */
export function rowOf(kind, { proofs, scales }) {
  const variants = wanted(kind, scales);
  const newest = variants.flatMap((variant) => findingsOf(proofs, kind, variant).slice(0, 1));
  const verdict = WORST_FIRST.find((one) => newest.some(({ proof }) => proof.verdict === one)) ?? null;
  const wall = newest.map((one) => one.wall).sort().at(-1) ?? "";
  return { verdict, wall, done: newest.length, of: variants.length };
}

/** Which variant to look at first: one that is not done yet, else the worst. @param {Kind} kind @param {ProvingNow} proving */
export function firstVariant(kind, { proofs, scales, check }) {
  if (check?.check.kind === kind) return variantOf(check.check);
  const variants = wanted(kind, scales);
  const verdictAt = (/** @type {string} */ one) => findingsOf(proofs, kind, one)[0]?.proof.verdict;
  return [undefined, ...WORST_FIRST].map((verdict) => variants.find((one) => verdictAt(one) === verdict)).find((one) => one !== undefined) ?? "";
}

/** The answer in short. @param {ProvingNow} proving */
export function answerWords(proving) {
  const rows = KINDS.map((kind) => rowOf(kind, proving));
  const done = rows.filter((row) => row.of > 0 && row.done === row.of).length;
  const bad = rows.filter(({ verdict }) => verdict === "bad").length;
  if (rows.every(({ verdict }) => verdict === null)) return "Nothing is proved yet. Begin at the top.";
  const found = bad === 0 ? "none bad" : bad === 1 ? "one is bad" : `${bad} are bad`;
  return `${done} of ${rows.length} done, ${found}.`;
}

// -- the place in the address ---------------------------------------------------------------------------------------------

/** @param {Place} place @param {string} variant */
export function addressOf(place, variant) {
  return `#${place}${variant ? `/${variant}` : ""}`;
}

/** @param {string} hash @returns {{ place: Place, variant: string }} */
export function placeAt(hash) {
  const [name, variant = ""] = hash.replace("#", "").split("/");
  const place = name === "trust" ? name : (KINDS.find((kind) => kind === name) ?? "");
  return { place, variant: place in CHECKS ? variant : "" };
}
