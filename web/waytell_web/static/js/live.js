/**
 * The live stream: keeps the newest state, draws it in the next animation frame, then tells the server so.
 *
 * What is drawn is either live or told to be old; `onDraw` gets the milliseconds of silence for the latter.
 *
 * @typedef {import("./types").LiveState} LiveState
 * @typedef {"live" | "silent" | "gone"} LinkName
 * @typedef {(state: LiveState | null, link: LinkName, silence_ms: number) => void} Draw
 */

import { retryDelay, SilenceWatch } from "./silence.js";

const LOOK_EVERY_MS = 25;
// A connection that opened and then says nothing for so long is half dead: a new one is better.
const GIVE_UP_MS = 3000;
// Often enough that a figure that is not what was sent is found out well within 300 ms.
const TELL_SHOWN_MS = 100;

export class LiveLink {
  /** @param {string} url @param {Draw} onDraw @param {() => Record<string, string>} [onScreen] the good figures as they stand there */
  constructor(url, onDraw, onScreen = () => ({})) {
    this.url = url;
    this.onDraw = onDraw;
    this.onScreen = onScreen;
    this.told_ms = 0;
    this.watch = new SilenceWatch();
    this.tries = 0;
    this.frame = 0;
    this.wasLive = false;
    /** @type {LiveState | null} */
    this.newest = null;
    /** @type {WebSocket | null} */
    this.socket = null;
    /** @type {number[]} */
    this.toAcknowledge = [];
  }

  start() {
    this.connect();
    setInterval(() => this.look(), LOOK_EVERY_MS);
    document.addEventListener("visibilitychange", () => this.hiddenOrShown());
  }

  connect() {
    const socket = new WebSocket(this.url);
    this.socket = socket;
    this.opening_ms = performance.now();
    socket.onopen = () => this.watch.opened(performance.now());
    socket.onmessage = (message) => this.heard(message.data);
    socket.onclose = () => this.lost(socket);
  }

  /** @param {string} text */
  heard(text) {
    this.tries = 0;
    this.watch.heard(performance.now());
    this.newest = JSON.parse(text);
    if (this.newest) this.toAcknowledge.push(this.newest.seq);
    this.drawSoon();
  }

  /** @param {WebSocket} socket */
  lost(socket) {
    if (socket !== this.socket) return;
    this.socket = null;
    this.toAcknowledge = [];
    this.watch.closed();
    this.draw();
    setTimeout(() => this.connect(), retryDelay(this.tries++));
  }

  /** Runs on its own clock, so that silence is noticed although nothing arrives. */
  look() {
    const live = this.watch.isLive(performance.now());
    if (!live || !this.wasLive) this.draw();
    else if (document.hidden) this.acknowledge();
    this.dropHalfDead();
  }

  dropHalfDead() {
    const since = Math.max(this.opening_ms ?? 0, this.watch.heard_ms ?? 0);
    if (!this.socket || performance.now() - since < GIVE_UP_MS) return;
    const socket = this.socket;
    this.lost(socket);
    socket.close();
  }

  /** A hidden page is not painted: what it shows when it comes back must not pass for live. */
  hiddenOrShown() {
    if (document.hidden) this.onDraw(this.newest, "silent", 0);
    else this.drawSoon();
  }

  drawSoon() {
    if (this.frame || document.hidden) return;
    this.frame = requestAnimationFrame(() => {
      this.frame = 0;
      this.draw();
    });
  }

  draw() {
    const now = performance.now();
    const live = this.watch.isLive(now) && !document.hidden;
    this.wasLive = live;
    this.onDraw(this.newest, live ? "live" : this.socket ? "silent" : "gone", this.watch.silence(now));
    this.acknowledge();
  }

  /** Each state is acknowledged, also one that a newer overtook: the server counts what is on the way. */
  acknowledge() {
    if (this.socket?.readyState !== WebSocket.OPEN) return;
    const newest = this.toAcknowledge.pop();
    for (const seq of this.toAcknowledge) this.socket.send(JSON.stringify({ drawn: seq }));
    if (newest !== undefined) this.socket.send(JSON.stringify({ drawn: newest, ...this.shown() }));
    this.toAcknowledge = [];
  }

  /** The server compares what stands on the screen with what it sent: a page is no witness for itself. */
  shown() {
    const now = performance.now();
    if (!this.wasLive || document.hidden || now - this.told_ms < TELL_SHOWN_MS) return {};
    this.told_ms = now;
    return { shown: this.onScreen() };
  }
}

/** @param {Location} place */
export function liveUrl(place) {
  return `${place.protocol === "https:" ? "wss" : "ws"}://${place.host}${place.pathname.replace(/[^/]*$/, "")}live`;
}
