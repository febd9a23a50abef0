/**
 * The kinds of feature that a part has, what is asked of each, and each in words. Pure.
 *
 * @typedef {import("./plan_types").FeatureDraft} FeatureDraft
 * @typedef {import("./plan_types").FeatureKind} FeatureKind
 *
 * @typedef {object} Asked                  one thing that is asked of a feature; a size has limits, a length has none
 * @property {string} name                  as in the part document
 * @property {string} label
 * @property {"diameter" | "length"} of
 * @property {boolean} [limits]
 * @property {string} [first]               what stands there at first
 * @property {string} [hint]
 * @property {boolean} [second]             asked in the second set-up only, and may be left out
 */

const FROM = "from the finished face";

/** @type {(name: string, label: string, more?: Partial<Asked>) => Asked} */
const across = (name, label, more = {}) => ({ name, label, of: "diameter", ...more });
/** @type {(name: string, label: string, more?: Partial<Asked>) => Asked} */
const along = (name, label, more = {}) => ({ name, label, of: "length", hint: FROM, ...more });

const BEGINS = along("from_mm", "It begins at", { first: "0" });

/** @type {Record<FeatureKind, { words: string, asked: Asked[], side?: boolean }>} */
export const FEATURES = {
  face: { words: "faced end", asked: [along("length", "Whole length of the part", { limits: true, second: true, hint: "where facing this end brings it about" })] },
  turned: { words: "turned diameter", asked: [across("diameter", "Diameter", { limits: true }), along("to", "Up to a shoulder at", { limits: true }), BEGINS] },
  hole: { words: "drilled hole", asked: [across("diameter_mm", "Diameter of the drill"), along("to_mm", "Full diameter down to")] },
  bore: { words: "bored diameter", asked: [across("diameter", "Diameter", { limits: true }), along("to", "It ends at", { limits: true })] },
  taper: {
    words: "taper",
    asked: [
      across("diameter", "Diameter where it begins", { limits: true }), across("end_diameter_mm", "Diameter where it ends"), BEGINS, along("to_mm", "It ends at"),
    ],
  },
  chamfer: { words: "chamfer", asked: [along("size_mm", "Size", { first: "0.5", hint: "along the work; across it the same" }), along("at_mm", "The edge is at", { first: "0" })], side: true },
  groove: { words: "groove", asked: [across("diameter", "Diameter of its floor", { limits: true }), along("from_mm", "It begins at"), along("to_mm", "It ends at")] },
  part_off: { words: "parted off", asked: [along("at_mm", "Where the part ends")] },
};

/** What is asked of this feature. @param {FeatureDraft} feature */
export function askedOf({ kind, texts }) {
  return FEATURES[kind].asked.filter(({ second }) => !second || texts.set_up === "2");
}

/** A feature of which nothing is told yet but what goes without saying. @param {FeatureKind} kind @param {number} key @param {string} set_up @returns {FeatureDraft} */
export function newFeature(kind, key, set_up) {
  /** @type {Record<string, string>} */
  const texts = { set_up, where: "outside" };
  for (const { name, first, limits } of FEATURES[kind].asked) {
    texts[name] = first ?? "";
    if (limits) texts[`${name}.how`] = "general";
  }
  return { key, kind, texts };
}

/** Everything that must be told is told; whether it can be read is another matter. @param {FeatureDraft} feature */
export function isComplete(feature) {
  const told = (/** @type {string} */ name) => (feature.texts[name] ?? "").trim() !== "";
  return askedOf(feature).every(({ name, limits, second }) => {
    if (!told(name)) return Boolean(second);
    const how = limits ? feature.texts[`${name}.how`] : "general";
    if (how === "class") return told(`${name}.class`);
    return how !== "numbers" || (told(`${name}.upper`) && told(`${name}.lower`));
  });
}

/** A size as one says it, with its limits: "18 h8", "22 +0.1/−0". @param {FeatureDraft} feature @param {string} name */
function sizeWords({ texts }, name) {
  const how = texts[`${name}.how`];
  if (how === "class") return `${texts[name]} ${texts[`${name}.class`] ?? ""}`.trim();
  if (how === "numbers") return `${texts[name]} (${signed(texts[`${name}.upper`])} / ${signed(texts[`${name}.lower`])})`;
  return texts[name];
}

/** @param {string} [text] */
function signed(text = "") {
  return /^[\d.,]/.test(text) && Number(text.replace(",", ".")) !== 0 ? `+${text}` : text.replace("-", "\u2212");
}

/** What stands on its row. @param {FeatureDraft} feature */
export function featureWords(feature) {
  const size = (/** @type {string} */ name) => sizeWords(feature, name);
  const across = `\u2300\u00a0${size("diameter")}`;
  const begins = Number(feature.texts.from_mm) > 0 ? ` from ${feature.texts.from_mm}` : "";
  /** @type {Record<FeatureKind, () => string>} */
  const words = {
    face: () => (feature.texts.set_up === "2" && feature.texts.length ? `to length ${size("length")}` : "at 0"),
    turned: () => `${across}${begins} up to ${size("to")}`,
    hole: () => `\u2300\u00a0${feature.texts.diameter_mm} down to ${feature.texts.to_mm}`,
    bore: () => `${across} to ${size("to")}`,
    taper: () => `${across}${begins} to \u2300\u00a0${feature.texts.end_diameter_mm} at ${feature.texts.to_mm}`,
    chamfer: () => `${feature.texts.size_mm}, ${feature.texts.where}, at ${feature.texts.at_mm}`,
    groove: () => `${across} from ${feature.texts.from_mm} to ${feature.texts.to_mm}`,
    part_off: () => `at ${feature.texts.at_mm}`,
  };
  return words[feature.kind]();
}
