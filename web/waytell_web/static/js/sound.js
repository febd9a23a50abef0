/**
 * Sound by Web Audio: closing ticks, and signals for what must be heard without looking.
 *
 * Beats are put on the sound card's own clock a little ahead, so that a rhythm does not wobble with the page's timers.
 *
 * @typedef {import("./rhythm.js").Beat} Beat
 * @typedef {import("./rhythm.js").SignalName} SignalName
 * @typedef {import("./types").LiveState} LiveState
 * @typedef {"ticks" | "warnings"} LevelName
 */

import { recall, remember } from "./preferences.js";
import { SIGNALS, signalFor, TICK, tickInterval } from "./rhythm.js";

const SOFT_EDGE_S = 0.004;
const LOOK_EVERY_MS = 15;
const AHEAD_S = 0.04;

export class Sound {
  constructor() {
    this.muted = recall("muted", "no") === "yes";
    /** Loudness from 0 to 1. @type {Record<LevelName, number>} */
    this.levels = { ticks: Number(recall("level ticks", "0.5")), warnings: Number(recall("level warnings", "0.7")) };
    /** @type {AudioContext | null} */
    this.audio = null;
    /** @type {LiveState | null} */
    this.before = null;
    /** @type {SignalName | null} */
    this.signal = null;
    this.signalsLeft = 0;
    this.nextSignal_s = 0;
    this.lastTick_s = 0;
    this.onChange = () => {};
  }

  /** Browsers give sound only after the first touch or key. */
  waitForTouch() {
    const wake = () => this.wake();
    for (const kind of ["pointerdown", "keydown"]) document.addEventListener(kind, wake);
    setInterval(() => this.beatTime(), LOOK_EVERY_MS);
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

  /** @param {LevelName} name @param {number} level from 0 to 1 */
  setLevel(name, level) {
    this.levels[name] = level;
    remember(`level ${name}`, String(level));
  }

  /** As it would sound; also while nothing is the matter. @param {SignalName | "ticks"} name */
  try(name) {
    if (!this.audio) return;
    const [beats, level] = name === "ticks" ? [[TICK], this.levels.ticks] : [SIGNALS[name].beats, this.levels.warnings];
    soundBeats(this.audio, beats, level, this.audio.currentTime);
  }

  /** @param {LiveState} state */
  hear(state) {
    const signal = signalFor(this.before, state, this.signal);
    this.before = state;
    if (signal === this.signal) return;
    this.signal = signal;
    this.signalsLeft = signal ? SIGNALS[signal].times : 0;
    this.nextSignal_s = 0;
  }

  beatTime() {
    if (!this.before || !this.audio || this.blocked) return;
    const now_s = this.audio.currentTime;
    if (this.signal) this.signalTime(this.audio, this.signal, now_s);
    // A signal has the ear to itself; ticks go on only after "reached" has nothing more to say.
    else this.tickTime(this.audio, this.before, now_s);
  }

  /** @param {AudioContext} audio @param {SignalName} name @param {number} now_s */
  signalTime(audio, name, now_s) {
    if (this.signalsLeft <= 0 || this.nextSignal_s > now_s + AHEAD_S) return;
    const at_s = Math.max(now_s, this.nextSignal_s);
    this.signalsLeft -= 1;
    this.nextSignal_s = at_s + SIGNALS[name].every_s;
    if (!this.muted) soundBeats(audio, SIGNALS[name].beats, this.levels.warnings, at_s);
  }

  /** @param {AudioContext} audio @param {LiveState} state @param {number} now_s */
  tickTime(audio, state, now_s) {
    const interval_s = tickInterval(state);
    if (interval_s === null || this.lastTick_s + interval_s > now_s + AHEAD_S) return;
    this.lastTick_s = Math.max(now_s, this.lastTick_s + interval_s);
    if (!this.muted) soundBeats(audio, [TICK], this.levels.ticks, this.lastTick_s);
  }
}

/** Beats from a moment of the audio clock on. @param {BaseAudioContext} audio @param {Beat[]} beats @param {number} level from 0 to 1 @param {number} at_s */
export function soundBeats(audio, beats, level, at_s) {
  for (const beat of beats) soundBeat(audio, beat, level, at_s + beat.at_s);
}

/** One beat with soft edges: a hard edge would crack. @param {BaseAudioContext} audio @param {Beat} beat @param {number} level @param {number} from */
function soundBeat(audio, beat, level, from) {
  const to = from + beat.for_s;
  const tone = new OscillatorNode(audio, { type: "triangle", frequency: beat.hz });
  const loudness = new GainNode(audio, { gain: 0 });
  loudness.gain.setValueAtTime(0, from);
  loudness.gain.linearRampToValueAtTime(level, from + SOFT_EDGE_S);
  loudness.gain.setValueAtTime(level, Math.max(to - SOFT_EDGE_S, from + SOFT_EDGE_S));
  loudness.gain.linearRampToValueAtTime(0, to);
  tone.connect(loudness).connect(audio.destination);
  tone.start(from);
  tone.stop(to + 0.01);
}
