/**
 * Decides whether the newest state may be drawn as live. Knows times, in milliseconds, and nothing else.
 *
 * A heartbeat comes every 100 ms, so 250 ms without a state is silence. After a silence the first states may be old
 * ones that waited on the way (a sleeping tablet, a stalled network). The server keeps at most two on the way and
 * sends the next only once one of them is acknowledged: so the third after a silence is sure to be new.
 */

export const SILENT_AFTER_MS = 250;
export const ON_THE_WAY = 2;

export class SilenceWatch {
  constructor() {
    /** @type {number | null} */
    this.heard_ms = null;
    /** @type {number | null} made, and nothing heard on it yet */
    this.opened_ms = null;
    this.toDistrust = 0;
    this.trusted = false;
  }

  /** A connection was made: nothing can be waiting on it yet. @param {number} now_ms */
  opened(now_ms) {
    this.toDistrust = 0;
    this.trusted = false;
    this.opened_ms = now_ms;
  }

  /** The connection ended: what was drawn last is no longer live. */
  closed() {
    this.trusted = false;
    this.opened_ms = null;
  }

  /** A state arrived. @param {number} now_ms */
  heard(now_ms) {
    const quiet_ms = this.opened_ms === null ? this.silence(now_ms) : now_ms - this.opened_ms;
    if (quiet_ms > SILENT_AFTER_MS) this.toDistrust = ON_THE_WAY;
    this.opened_ms = null;
    this.heard_ms = now_ms;
    this.trusted = this.toDistrust === 0;
    this.toDistrust = Math.max(0, this.toDistrust - 1);
  }

  /** Milliseconds without a state. @param {number} now_ms */
  silence(now_ms) {
    return this.heard_ms === null ? Infinity : now_ms - this.heard_ms;
  }

  /** @param {number} now_ms */
  isLive(now_ms) {
    return this.trusted && this.silence(now_ms) <= SILENT_AFTER_MS;
  }
}

/** Waits between tries to connect: soon at first, then every two seconds. @param {number} tries */
export function retryDelay(tries) {
  return Math.min(250 * 2 ** tries, 2000);
}
