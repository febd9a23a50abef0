/**
 * The work in half section, as an engineering drawing (ISO 128: thick outline, thin hatching at 45 degrees, chain
 * centre line, double-dot chain for the finished part in its blank), with the tool, live; and a detail, as drawings
 * have them, that shows the tool point enlarged.
 *
 * @typedef {import("./types").Corner} Corner
 * @typedef {import("./types").LiveState} LiveState
 * @typedef {import("./types").Operation} Operation
 * @typedef {import("./section_geometry.js").Box} Box
 * @typedef {import("./section_geometry.js").Frame} Frame
 * @typedef {import("./section_geometry.js").Projection} Projection
 */

import { acrossDimension, alongDimension } from "./dimension.js";
import { setAttribute, setShown, setText, svg } from "./dom.js";
import { unitWord } from "./figures.js";
import * as live from "./live_geometry.js";
import * as geometry from "./section_geometry.js";
import { LastPass } from "./last_pass.js";
import { nearness, Zoom } from "./zoom.js";
import { SectionView } from "./section_view.js";

const SCALE_WORDS_PX = 70;
const LETTER_PX = 8;
const TRAIL_WORDS_PX = 10;
const HALF_VIEW_MARK_PX = 7;
const NOT_WATCHED_MM = 0.02;

export class SectionDrawing {
  /** @param {HTMLElement} place */
  constructor(place) {
    this.place = place;
    this.root = svg("svg", { role: "img", "aria-label": "The work in half section, with the tool" });
    place.append(this.root);
    /** @type {Box} */
    this.box = { width: 0, height: 0 };
    this.view = new SectionView(this.root, "main");
    this.parts = makeParts(this.root);
    this.detail = new Detail(this.root);
    this.lastPass = new LastPass();
    /** @type {LiveState | null} */
    this.state = null;
    new ResizeObserver(() => this.resized()).observe(place);
  }

  resized() {
    const { clientWidth: width, clientHeight: height } = this.place;
    this.box = { width, height };
    setAttribute(this.root, "viewBox", `0 0 ${width} ${height}`);
    if (this.state) this.draw(this.state);
  }

  /** @param {LiveState} state */
  draw(state) {
    this.state = state;
    if (this.box.width < 20 || this.box.height < 20) return;
    const frame = live.frameFor(state.work.outline, state.operation);
    const projection = live.fit(frame, this.box);
    this.view.draw(state, frame, projection, 1);
    this.drawEnds(state, frame, projection);
    this.drawToGo(state, frame, projection);
    this.drawScaleBar(state, projection);
    const taken = this.lastPass.of(state);
    const factor = this.view.drawTrail(taken, projection, state.hold?.warning_mm ?? NOT_WATCHED_MM);
    this.drawTrailWords(taken, factor, frame, projection, state.work.outline);
    this.detail.draw(state, this.box, frame, projection, taken);
  }

  /** In the metal, where neither tool nor dimension comes; below it where it is too short for them. @param {import("./last_pass.js").Taken | null} taken @param {number | null} factor @param {Frame} frame @param {Projection} projection @param {Corner[]} outline */
  drawTrailWords(taken, factor, frame, projection, outline) {
    const { trailWords } = this.parts;
    const doubtful = taken !== null && taken.passed.doubts.length > 0;
    const words = [doubtful ? "last pass in doubt" : "", factor === null ? "" : `creep \u00d7 ${factor}`].filter(Boolean).join(", ");
    setShown(trailWords, words !== "" && outline.length > 0);
    setText(trailWords, words);
    if (!words || outline.length === 0) return;
    const left = geometry.toPoint(projection, Math.max(frame.z0, outline[0][0]), 0);
    const end = geometry.toPoint(projection, outline[outline.length - 1][0], geometry.outsideRadius(outline));
    const inside = end.x - left.x > words.length * LETTER_PX + 2 * TRAIL_WORDS_PX;
    setAttribute(trailWords, "x", (left.x + TRAIL_WORDS_PX).toFixed(1));
    setAttribute(trailWords, "y", Math.min((inside ? left.y : end.y) + 2 * TRAIL_WORDS_PX, this.box.height - 4).toFixed(1));
  }

  /** Where the drawing stops: half-view strokes on the centre line; on the left the chuck, or a break line. @param {LiveState} state @param {Frame} frame @param {Projection} projection */
  drawEnds(state, frame, projection) {
    const { outline } = state.work;
    const from = geometry.toPoint(projection, frame.z0, 0);
    const to = geometry.toPoint(projection, frame.z1, 0);
    const strokes = [from.x + 4, from.x + 9, to.x - 9, to.x - 4];
    const marks = strokes.map((x) => `M${x} ${from.y - HALF_VIEW_MARK_PX}v${2 * HALF_VIEW_MARK_PX}`);
    setAttribute(this.parts.marks, "d", marks.join(""));
    const broken = outline.length > 0 && outline[0][0] < frame.z0;
    setAttribute(this.parts.chuck, "d", outline.length > 0 && !broken ? geometry.chuckPath(outline[0], frame, projection) : "");
    setShown(this.parts.breakLine, broken);
    setShown(this.parts.beyond, broken);
    if (broken) this.drawBreak(from.x, from.y, geometry.toPoint(projection, 0, outline[0][1]).y);
  }

  /** @param {number} x @param {number} top @param {number} bottom */
  drawBreak(x, top, bottom) {
    const middle = (top + bottom) / 2;
    const line = `M${x} ${top - 10}V${middle - 9}l-7 5 14 8-7 5V${bottom + 10}`;
    setAttribute(this.parts.breakLine, "d", line);
    setAttribute(this.parts.beyond, "d", `${line}H-50V${top - 10}Z`);
  }

  /** The distance to go as a dimension (ISO 129-1) from the tool point to the end of the feed. @param {LiveState} state @param {Frame} frame @param {Projection} projection */
  drawToGo(state, frame, projection) {
    const place = live.toolPlace(state);
    const { operation } = state;
    const shown = Boolean(place?.sure && operation && state.to_go?.good && state.to_go.value_mm > 0);
    setShown(this.parts.toGo, shown);
    if (!place || !operation || !shown) return;
    const dimension = operation.feed_axis === "X" ? acrossDimension : alongDimension;
    const path = dimension(place, operation, frame, projection);
    setAttribute(this.parts.toGoLine, "d", path.line);
    setAttribute(this.parts.toGoArrows, "d", path.arrows);
  }

  /** The distance to go along is drawn at the same height; where it comes as far right, its figure gives the scale. @param {number} x @param {LiveState} state @param {Projection} projection */
  dimensionReaches(x, state, projection) {
    const place = live.toolPlace(state);
    if (state.operation?.feed_axis !== "Z" || !place) return false;
    return Math.max(geometry.toPoint(projection, place.z, 0).x, geometry.toPoint(projection, state.operation.end_mm, 0).x) > x;
  }

  /** @param {LiveState} state @param {Projection} projection */
  drawScaleBar(state, projection) {
    const inch = state.units.length === "inch";
    const bar = geometry.scaleBarLength(projection.scale, this.box.width * 0.16, inch);
    const length = bar.mm * projection.scale;
    // At the upper right, between the edge of the drawing and the centre line.
    const [x, y] = [this.box.width - length - 2, 14];
    const room = geometry.toPoint(projection, 0, 0).y > y + 6 && !this.dimensionReaches(x - SCALE_WORDS_PX, state, projection);
    setShown(this.parts.scaleBar, room);
    setShown(this.parts.scaleWords, room);
    setAttribute(this.parts.scaleBar, "d", `M${x} ${y - 5}v5h${length.toFixed(1)}v-5`);
    setAttribute(this.parts.scaleWords, "x", x - 8);
    setAttribute(this.parts.scaleWords, "y", y + 1);
    setText(this.parts.scaleWords, `${Number(bar.value.toPrecision(3))} ${unitWord(state.units)}`);
  }
}

/** The tool point enlarged, in a circle at the lower left, where neither work nor tool is. */
class Detail {
  /** @param {SVGElement} parent */
  constructor(parent) {
    this.here = svg("g", { class: "detail-here" }, parent);
    this.ring = svg("circle", { class: "thin-ink" }, this.here);
    this.letter = svg("text", { class: "drawing-words" }, this.here);
    this.root = svg("g", { class: "detail" }, parent);
    const clip = svg("clipPath", { id: "detail-clip" }, svg("defs", {}, this.root));
    this.clip = svg("circle", {}, clip);
    this.paper = svg("circle", { class: "paper" }, this.root);
    this.view = new SectionView(svg("g", { "clip-path": "url(#detail-clip)" }, this.root), "detail");
    this.rim = svg("circle", { class: "thin-ink" }, this.root);
    this.bar = svg("path", { class: "detail-bar" }, this.root);
    this.barWords = svg("text", { class: "drawing-words bar-words", "text-anchor": "middle" }, this.root);
    this.zoom = new Zoom();
    this.words = svg("text", { class: "drawing-words" }, this.root);
  }

  /** @param {LiveState} state @param {Box} box @param {Frame} frame @param {Projection} main @param {import("./last_pass.js").Taken | null} taken */
  draw(state, box, frame, main, taken) {
    const place = live.toolPlace(state);
    const outside_mm = geometry.outsideRadius(state.work.outline);
    const look = place?.sure && state.operation ? live.detailFor(box, main, frame, outside_mm) : null;
    setShown(this.root, look !== null);
    setShown(this.here, look !== null);
    if (!place || !look) return;
    const times = this.zoom.step(nearness(state), main.scale, look.radius);
    const projection = live.centredOn(place, look, main.scale * times);
    for (const circle of [this.clip, this.paper, this.rim]) setCircle(circle, look.x, look.y, look.radius);
    setText(this.words, `A, ${times} times larger`);
    setAttribute(this.words, "x", look.x + look.radius * 0.72);
    setAttribute(this.words, "y", look.y + look.radius - 2);
    const sight = live.inSight(projection, box);
    this.view.draw(state, sight, projection, times);
    this.view.drawLimits(state, projection);
    this.view.drawTrail(taken, projection, undefined, sight);
    this.drawBar(state, look, projection);
    this.drawHere(geometry.toPoint(main, place.z, place.r), look.radius / times);
  }

  /** @param {LiveState} state @param {import("./live_geometry.js").DetailLook} look @param {Projection} projection */
  drawBar(state, look, projection) {
    const bar = geometry.scaleBarLength(projection.scale, 0.7 * look.radius, state.units.length === "inch");
    const length = bar.mm * projection.scale;
    // At the top, where the tool is not: it comes from below.
    const y = look.y - 0.78 * look.radius;
    setAttribute(this.bar, "d", `M${(look.x - length / 2).toFixed(1)} ${(y - 5).toFixed(1)}v5h${length.toFixed(1)}v-5`);
    setAttribute(this.barWords, "x", look.x.toFixed(1));
    setAttribute(this.barWords, "y", (y + 18).toFixed(1));
    setText(this.barWords, `${Number(bar.value.toPrecision(3))} ${unitWord(state.units)}`);
  }

  /** @param {{ x: number, y: number }} point @param {number} radius */
  drawHere({ x, y }, radius) {
    setCircle(this.ring, x, y, radius);
    setText(this.letter, "A");
    setAttribute(this.letter, "x", (x - radius - 16).toFixed(1));
    setAttribute(this.letter, "y", (y + radius + 14).toFixed(1));
  }
}

/** @param {SVGCircleElement} circle @param {number} x @param {number} y @param {number} radius */
function setCircle(circle, x, y, radius) {
  setAttribute(circle, "cx", x.toFixed(1));
  setAttribute(circle, "cy", y.toFixed(1));
  setAttribute(circle, "r", radius.toFixed(1));
}

/** @param {SVGElement} root */
function makeParts(root) {
  const beyond = svg("path", { class: "paper" }, root);
  const breakLine = svg("path", { class: "thin-ink" }, root);
  const chuck = svg("path", { class: "chuck" }, root);
  const marks = svg("path", { class: "thin-ink" }, root);
  const toGo = svg("g", { class: "to-go-dimension" }, root);
  const toGoLine = svg("path", { class: "thin-ink" }, toGo);
  const toGoArrows = svg("path", { class: "arrows" }, toGo);
  const scaleBar = svg("path", { class: "thin" }, root);
  const scaleWords = svg("text", { class: "drawing-words", "text-anchor": "end" }, root);
  const trailWords = svg("text", { class: "drawing-words trail-words" }, root);
  return { beyond, breakLine, chuck, marks, toGo, toGoLine, toGoArrows, scaleBar, scaleWords, trailWords };
}
