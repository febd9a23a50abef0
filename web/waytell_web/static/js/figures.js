/**
 * Numbers as the person reads and types them: units, diameter or radius, digits.
 *
 * Inside, every length is in millimetres and X is a radius. Only here does it become inches or a diameter.
 *
 * @typedef {import("./types").Axis} Axis
 * @typedef {import("./types").AxisState} AxisState
 * @typedef {import("./types").DoubtfulFigure} DoubtfulFigure
 * @typedef {import("./types").Figure} Figure
 * @typedef {import("./types").Units} Units
 *
 * A length belongs to an axis, or to a slide: how far a slide moved is never doubled.
 * @typedef {Axis | "slide"} Along
 *
 * @typedef {object} Shown
 * @property {string} text      the number alone, without sign of unit
 * @property {string | null} u  the uncertainty in the same digits; null where there is none to state
 * @property {boolean} doubtful
 */

const MM_PER_INCH = 25.4;
const MINUS = "\u2212";

/** Stands where no number is known. */
export const NO_NUMBER = "\u2013";

/** @param {Along} along @param {Units} units */
export function isDiameter(along, units) {
  return along === "X" && units.x_as === "diameter";
}

/** @param {Along} along @param {Units} units */
function factor(along, units) {
  return (isDiameter(along, units) ? 2 : 1) / (units.length === "inch" ? MM_PER_INCH : 1);
}

/** @param {number} mm @param {Along} along @param {Units} units */
export function toShown(mm, along, units) {
  return mm * factor(along, units);
}

/** @param {number} value @param {Along} along @param {Units} units */
export function fromShown(value, along, units) {
  return value / factor(along, units);
}

/** @param {AxisState | undefined} axis @param {Units} units */
export function decimalsOf(axis, units) {
  if (!axis) return units.length === "inch" ? 4 : 2;
  return units.length === "inch" ? axis.decimals_inch : axis.decimals_mm;
}

/**
 * A number with a true minus sign, and never a minus before nothing.
 * @param {number} value @param {number} decimals
 */
export function numberText(value, decimals) {
  const text = Math.abs(value).toFixed(decimals);
  return value < 0 && Number(text) !== 0 ? MINUS + text : text;
}

/** @param {number} mm @param {Along} along @param {Units} units @param {number} decimals */
export function lengthText(mm, along, units, decimals) {
  return numberText(toShown(mm, along, units), decimals);
}

/** As `lengthText`, with a plus sign where it grows. @type {typeof lengthText} */
export function changeText(mm, along, units, decimals) {
  const text = lengthText(mm, along, units, decimals);
  return mm > 0 && Number(text) !== 0 ? `+${text}` : text;
}

/**
 * The uncertainty is rounded up: the page must not claim more than was stated.
 * @param {number} u_mm @param {Along} along @param {Units} units @param {number} decimals
 */
export function uText(u_mm, along, units, decimals) {
  const steps = toShown(u_mm, along, units) * 10 ** decimals;
  // A hair is taken off first, or 0.02 mm, held as 0.020000000000000004, would read 0.03.
  return (Math.ceil(steps - 1e-6) / 10 ** decimals).toFixed(decimals);
}

/** @param {Units} units */
export function unitWord(units) {
  return units.length;
}

/** Micrometres, or thousandths of an inch, as a number. @param {Units} units @param {number} mm */
export function smallShown(units, mm) {
  return units.length === "inch" ? (mm * 1000) / MM_PER_INCH : mm * 1000;
}

/** @param {Units} units */
export function smallUnit(units) {
  return units.length === "inch" ? "0.001 inch" : "\u00b5m";
}

/** @param {Units} units @param {number} mm */
export function smallText(units, mm) {
  return `${numberText(smallShown(units, mm), units.length === "inch" ? 2 : 1)} ${smallUnit(units)}`;
}

/** What the number measures, for X: the drawing sign of a diameter or a radius. @param {Along} along @param {Units} units */
export function axisSign(along, units) {
  if (along !== "X") return "";
  return isDiameter(along, units) ? "\u2300" : "R";
}

/** @param {Along} along @param {Units} units */
export function unitPhrase(along, units) {
  const unit = unitWord(units);
  if (along !== "X") return unit;
  return isDiameter(along, units) ? `${unit} on the diameter` : `${unit} on the radius`;
}

/** What a doubtful figure last was. Before it was touched off it was never anything. @param {DoubtfulFigure} figure */
export function lastKnown(figure) {
  return figure.reasons.includes("not_referenced") ? null : figure.last_mm;
}

/**
 * @param {Figure | null} figure @param {Along} along @param {Units} units @param {number} decimals
 * @param {(digits: number) => number} [steadied] the value in units of its last digit, held steady
 * @returns {Shown}
 */
export function figureShown(figure, along, units, decimals, steadied = (digits) => digits) {
  if (!figure) return { text: NO_NUMBER, u: null, doubtful: true };
  if (figure.good) {
    const digits = Math.round(toShown(figure.value_mm, along, units) * 10 ** decimals);
    return {
      text: numberText(steadied(digits) / 10 ** decimals, decimals),
      u: uText(figure.u_mm, along, units, decimals),
      doubtful: false,
    };
  }
  const last_mm = lastKnown(figure);
  return { text: last_mm === null ? NO_NUMBER : lengthText(last_mm, along, units, decimals), u: null, doubtful: true };
}

/** Characters a figure needs, so that its size stays put while the digits run. @param {string[]} texts */
export function widest(texts) {
  return Math.max(1, ...texts.map((text) => text.length));
}

/**
 * A typed number, with a point or a comma; null where it is none.
 * @param {string} text
 */
export function parseNumber(text) {
  const plain = text.trim().replace(MINUS, "-").replace(",", ".");
  return /^[+-]?(\d+\.?\d*|\.\d+)$/.test(plain) ? Number(plain) : null;
}

/** A length as it first stands in a field: as many digits as it has. @param {number} mm @param {Along} along @param {Units} units */
export function fieldText(mm, along, units) {
  const digits = units.length === "inch" ? 5 : 4;
  return String(Number(toShown(mm, along, units).toFixed(digits)));
}

/** @param {number | null} seconds */
export function timeWords(seconds) {
  if (seconds === null) return "not known";
  const whole = Math.round(seconds);
  if (whole < 60) return `${whole} s`;
  return whole < 3600 ? `${Math.floor(whole / 60)} min ${whole % 60} s` : `${Math.floor(whole / 3600)} h ${Math.floor((whole % 3600) / 60)} min`;
}
