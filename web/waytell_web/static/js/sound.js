/**
 * Sound by Web Audio: closing ticks, and signals for what must be heard without looking.
 *
 * @typedef {import("./rhythm.js").Beat} Beat
 * @typedef {import("./rhythm.js").SignalName} SignalName
 * @typedef {import("./types").LiveState} LiveState
 */

import { recall, remember } from "./preferences.js";
import { SIGNALS, signalFor, tickInterval } from "./rhythm.js";

const TICK = { at_s: 0, for_s: 0.012, hz: 2100 };
const SOFT_EDGE_S = 0.004;

export class Sound {
  constructor() {
    this.muted = recall("muted", "no") === "yes";
    this.volume = Number(recall("volume", "0.6"));
    /** @type {AudioContext | null} */
    this.audio = null;
    /** @type {LiveState | null} */
    this.before = null;
    /** @type {SignalName | null} */
    this.signal = null;
    this.signalsLeft = 0;
    this.nextSignal_ms = 0;
    this.lastTick_ms = 0;
    this.onChange = () => {};
  }

  /** Browsers give sound only after the first touch or key. */
  waitForTouch() {
    const wake = () => this.wake();
    for (const kind of ["pointerdown", "keydown"]) document.addEventListener(kind, wake);
    setInterval(() => this.beatTime(), 15);
  }

  async wake() {
    this.audio ??= new AudioContext();
    if (this.audio.state !== "running") await this.audio.resume().catch(() => {});
    this.onChange();
  }

  get blocked() {
    return this.audio?.state !== "running";
  }

  /** @returns {string} what stands on the button */
  get words() {
    if (this.muted) return "Sound off";
    return this.blocked ? "Touch for sound" : "Sound on";
  }

  toggle() {
    this.muted = !this.muted;
    remember("muted", this.muted ? "yes" : "no");
    this.onChange();
  }

  /** @param {number} volume from 0 to 1 */
  setVolume(volume) {
    this.volume = volume;
    remember("volume", String(volume));
    this.play([TICK]);
  }

  /** @param {LiveState} state */
  hear(state) {
    const signal = signalFor(this.before, state, this.signal);
    this.before = state;
    if (signal === this.signal) return;
    this.signal = signal;
    this.signalsLeft = signal ? SIGNALS[signal].times : 0;
    this.nextSignal_ms = 0;
  }

  beatTime() {
    if (!this.before) return;
    const now = performance.now();
    if (this.signal) this.signalTime(this.signal, now);
    // A signal has the ear to itself; ticks go on only after "reached" has nothing more to say.
    else this.tickTime(this.before, now);
  }

  /** @param {SignalName} name @param {number} now_ms */
  signalTime(name, now_ms) {
    if (this.signalsLeft <= 0 || now_ms < this.nextSignal_ms) return;
    this.signalsLeft -= 1;
    this.nextSignal_ms = now_ms + SIGNALS[name].every_s * 1000;
    this.play(SIGNALS[name].beats);
  }

  /** @param {LiveState} state @param {number} now_ms */
  tickTime(state, now_ms) {
    const interval_s = tickInterval(state);
    if (interval_s === null || now_ms - this.lastTick_ms < interval_s * 1000) return;
    this.lastTick_ms = now_ms;
    this.play([TICK]);
  }

  /** @param {Beat[]} beats */
  play(beats) {
    if (this.muted || !this.audio || this.blocked) return;
    for (const beat of beats) soundBeat(this.audio, beat, this.volume);
  }
}

/** One beat with soft edges: a hard edge would crack. @param {BaseAudioContext} audio @param {Beat} beat @param {number} volume */
export function soundBeat(audio, beat, volume) {
  const from = audio.currentTime + beat.at_s;
  const to = from + beat.for_s;
  const tone = new OscillatorNode(audio, { type: "triangle", frequency: beat.hz });
  const loudness = new GainNode(audio, { gain: 0 });
  loudness.gain.setValueAtTime(0, from);
  loudness.gain.linearRampToValueAtTime(volume, from + SOFT_EDGE_S);
  loudness.gain.setValueAtTime(volume, Math.max(to - SOFT_EDGE_S, from + SOFT_EDGE_S));
  loudness.gain.linearRampToValueAtTime(0, to);
  tone.connect(loudness).connect(audio.destination);
  tone.start(from);
  tone.stop(to + 0.01);
}
