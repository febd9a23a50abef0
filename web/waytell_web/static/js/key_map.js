/**
 * Which key does what. Chosen for a numeric keypad; a foot switch that is wired as a keyboard is a key as well. Pure.
 *
 * @typedef {"touch" | "clamp" | "depth" | "size" | "operation" | "compound" | "tool" | "part" | "undo" | "seen" | "confirm" | "yes" | "no" | "history" | "sound" | "screen"} Deed
 * @typedef {{ key: string, code?: string, ctrlKey: boolean, altKey: boolean, metaKey: boolean, repeat: boolean }} Press
 * @typedef {{ words: string, key: string }} KeyOf
 */

/** What each deed is called where keys are chosen, and its key at first. @type {Record<Deed, KeyOf>} */
export const DEEDS = {
  touch: { words: "Touched off", key: "1" },
  clamp: { words: "Clamped, or freed", key: "2" },
  depth: { words: "Depth of a pass", key: "3" },
  size: { words: "Size to reach", key: "4" },
  operation: { words: "Next operation", key: "5" },
  compound: { words: "Wound in on the compound", key: "6" },
  tool: { words: "Tool in the post", key: "7" },
  part: { words: "The part: measured, drilled, done", key: "8" },
  screen: { words: "Set up, and back to the cut", key: "9" },
  undo: { words: "Take back", key: "0" },
  yes: { words: "The guide's move is done, or so", key: "/" },
  no: { words: "The guide is not right", key: "-" },
  seen: { words: "Warnings seen", key: "+" },
  confirm: { words: "The figures still hold", key: "." },
  history: { words: "What was told so far", key: "h" },
  sound: { words: "Sound on, or off", key: "*" },
};
export const DEED_NAMES = /** @type {Deed[]} */ (Object.keys(DEEDS));

/** Keys that a keyboard needs for itself. */
const NEVER = new Set(["Tab", "Escape", "Shift", "Control", "Alt", "Meta", "AltGraph", "CapsLock", "NumLock", "Unidentified", "Dead"]);
/** With the number lock off a keypad sends other names, so it goes by where its keys are. @type {Record<string, string>} */
const PAD = { Add: "+", Subtract: "-", Multiply: "*", Divide: "/", Decimal: ".", Comma: ".", Enter: "Enter" };
/** @type {Record<string, string>} */
const NAMES = { " ": "Space", ArrowUp: "\u2191", ArrowDown: "\u2193", ArrowLeft: "\u2190", ArrowRight: "\u2192", "-": "\u2212", "*": "\u00d7", "/": "\u00f7" };

/** What a key is known by; null for one that can do nothing here. @param {Press} press */
export function keyName(press) {
  if (press.ctrlKey || press.altKey || press.metaKey || press.repeat || NEVER.has(press.key)) return null;
  const pad = press.code?.startsWith("Numpad") ? press.code.slice("Numpad".length) : "";
  if (/^\d$/.test(pad)) return pad;
  // Some keypads send a comma where others send a point.
  return PAD[pad] ?? (press.key === "," ? "." : press.key.length === 1 ? press.key.toLowerCase() : press.key);
}

/** What stands on a key. @param {string} key */
export function keyWords(key) {
  return NAMES[key] ?? (key.length === 1 ? key.toUpperCase() : key);
}

export class KeyMap {
  /** @param {string} [kept] what was kept of an earlier one */
  constructor(kept = "") {
    /** @type {Map<string, Deed>} */
    this.deeds = readKept(kept) ?? firstKeys();
  }

  /** @param {Press} press @returns {Deed | null} */
  deedOf(press) {
    const key = keyName(press);
    return key === null ? null : (this.deeds.get(key) ?? null);
  }

  /** @param {Deed} deed */
  keysOf(deed) {
    return [...this.deeds].flatMap(([key, of]) => (of === deed ? [key] : []));
  }

  /** The first of its keys, as it stands there; nothing where it has none. @param {Deed} deed */
  words(deed) {
    const [key] = this.keysOf(deed);
    return key === undefined ? "" : keyWords(key);
  }

  /**
   * A key, or one more, for a deed. The key that another deed had goes to this one, which gives its own for it.
   * @param {Deed} deed @param {string} key @param {boolean} more @returns {Deed | null} the deed that had it
   */
  give(deed, key, more) {
    const before = this.deeds.get(key) ?? null;
    if (before === deed) return null;
    const own = this.keysOf(deed);
    if (!more) for (const one of own) this.deeds.delete(one);
    this.deeds.set(key, deed);
    const [given] = own;
    if (before && !more && given !== undefined && this.keysOf(before).length === 0) this.deeds.set(given, before);
    return before;
  }

  reset() {
    this.deeds = firstKeys();
  }

  kept() {
    return JSON.stringify([...this.deeds]);
  }
}

function firstKeys() {
  return new Map(DEED_NAMES.map((deed) => [DEEDS[deed].key, deed]));
}

/** Null where it is none, or of a page that knew other deeds. @param {string} kept @returns {Map<string, Deed> | null} */
function readKept(kept) {
  try {
    const pairs = /** @type {[string, Deed][]} */ (JSON.parse(kept));
    const known = pairs.filter(([key, deed]) => typeof key === "string" && deed in DEEDS);
    // A deed that came later has the key that it has at first, where nothing else took it.
    const map = new Map(known);
    for (const deed of DEED_NAMES.filter((one) => !known.some(([, of]) => of === one))) {
      if (!map.has(DEEDS[deed].key)) map.set(DEEDS[deed].key, deed);
    }
    return map;
  } catch {
    return null;
  }
}
