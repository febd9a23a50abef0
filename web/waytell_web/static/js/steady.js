/**
 * A figure whose last digit does not shimmer at rest, and that hides no motion.
 *
 * A scale that stands on the edge of a count tells now one, now the next. So a change of one digit is shown once it has
 * stood for a moment; one that goes on the way the figure was going, or is larger, is shown at once. What is shown is
 * therefore never more than one digit off, and that for no longer than the moment. Pure: times come in with the values.
 */

/** From one heartbeat to the next but one, at most: a change that is real is there in both. */
export const STANDS_S = 0.12;

export class Steady {
  constructor() {
    this.shown = NaN;
    this.way = 0;
    this.changed_s = 0;
    this.pending = NaN;
    this.since_s = 0;
  }

  /** @param {number} digits the value in units of its last digit, rounded @param {number} t_s @returns {number} what to show, in the same */
  step(digits, t_s) {
    const off = digits - this.shown;
    if (off === 0) this.pending = NaN;
    else if (Math.abs(off) !== 1 || this.goesOn(off, t_s) || this.stood(digits, t_s)) this.show(digits, t_s);
    return this.shown;
  }

  /** @param {number} off @param {number} t_s */
  goesOn(off, t_s) {
    return off === this.way && t_s - this.changed_s < STANDS_S;
  }

  /** @param {number} digits @param {number} t_s */
  stood(digits, t_s) {
    if (this.pending !== digits) {
      this.pending = digits;
      this.since_s = t_s;
    }
    return t_s - this.since_s >= STANDS_S;
  }

  /** @param {number} digits @param {number} t_s */
  show(digits, t_s) {
    this.way = Math.sign(digits - this.shown);
    this.shown = digits;
    this.changed_s = t_s;
    this.pending = NaN;
  }
}
