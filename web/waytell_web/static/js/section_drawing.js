/**
 * The work in half section, as an engineering drawing (ISO 128: thick outline, thin hatching at 45 degrees, chain
 * centre line, double-dot chain for the finished part in its blank), with the tool, live.
 *
 * Kept as one SVG whose parts are made once; each state changes only attributes that differ.
 *
 * @typedef {import("./types").LiveState} LiveState
 * @typedef {import("./types").Operation} Operation
 * @typedef {import("./section_geometry.js").Frame} Frame
 * @typedef {import("./section_geometry.js").Projection} Projection
 */

import { setAttribute, setShown, setText, svg } from "./dom.js";
import { unitWord } from "./figures.js";
import * as geometry from "./section_geometry.js";
import { shankOutline, toolOutline } from "./tool_outline.js";

const HATCH_PX = 9;
const HALF_VIEW_MARK_PX = 7;

export class SectionDrawing {
  /** @param {HTMLElement} place */
  constructor(place) {
    this.place = place;
    this.root = svg("svg", { role: "img", "aria-label": "The work in half section, with the tool" });
    place.append(this.root);
    this.box = { width: 0, height: 0 };
    this.parts = makeParts(this.root);
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
    const outline = state.work.outline;
    const frame = geometry.frameFor(outline, state.operation);
    const projection = geometry.fit(frame, this.box);
    this.drawWork(state, frame, projection);
    this.drawPlan(state, frame, projection);
    this.drawTool(state, frame, projection);
    this.drawToGo(state, frame, projection);
    this.drawScaleBar(state, projection);
  }

  /** @param {LiveState} state @param {Frame} frame @param {Projection} projection */
  drawWork(state, frame, projection) {
    const { outline, stock } = state.work;
    const { parts } = this;
    const section = geometry.pathOf(projection, geometry.sectionCorners(outline, (stock?.bore_mm ?? 0) / 2));
    const closed = section && `${section}Z`;
    for (const part of [parts.metal, parts.hatch, parts.layer, parts.left]) setAttribute(part, "d", closed);
    setAttribute(parts.outline, "d", geometry.pathOf(projection, outline) + this.faces(outline, projection));
    this.drawCentreLine(frame, projection);
    setAttribute(parts.chuck, "d", outline.length ? chuckPath(outline[0], frame, projection) : "");
  }

  /** Free end and shoulders run on to the centre line. @param {import("./types").Corner[]} outline @param {Projection} projection */
  faces(outline, projection) {
    if (outline.length === 0) return "";
    const bore = (this.state?.work.stock?.bore_mm ?? 0) / 2;
    const [z, r] = outline[outline.length - 1];
    const end = geometry.pathOf(projection, [[z, r], [z, 0]]);
    const first = outline[0][0];
    return bore > 0 ? end + geometry.pathOf(projection, [[first, bore], [z, bore]]) : end;
  }

  /** A half view ends at its centre line, which says so by two short strokes across each end. @param {Frame} frame @param {Projection} projection */
  drawCentreLine(frame, projection) {
    const from = geometry.toPoint(projection, frame.z0, 0);
    const to = geometry.toPoint(projection, frame.z1, 0);
    setAttribute(this.parts.centre, "d", `M${from.x} ${from.y}H${to.x}`);
    const strokes = [from.x + 4, from.x + 9, to.x - 9, to.x - 4];
    const mark = strokes.map((x) => `M${x} ${from.y - HALF_VIEW_MARK_PX}v${2 * HALF_VIEW_MARK_PX}`);
    setAttribute(this.parts.marks, "d", mark.join(""));
  }

  /** @param {LiveState} state @param {Frame} frame @param {Projection} projection */
  drawPlan(state, frame, projection) {
    const { operation, remaining, stroke } = state;
    const { parts } = this;
    if (!operation) {
      for (const part of [parts.target, parts.layerClip, parts.leftClip, parts.cut]) clear(part);
      return;
    }
    setAttribute(parts.target, "d", geometry.pathOf(projection, geometry.targetLine(operation, frame.r1 - 2)));
    setRegion(parts.leftClip, geometry.layerRegion(operation, operation.target_mm, frame), projection);
    const pass_mm = remaining?.pass_target_mm ?? operation.target_mm;
    setRegion(parts.layerClip, geometry.layerRegion(operation, pass_mm, frame), projection);
    setShown(parts.cut, stroke !== null);
    if (stroke) setRegion(parts.cut, strokeRegion(operation, stroke, frame), projection);
  }

  /** @param {LiveState} state @param {Frame} frame @param {Projection} projection */
  drawTool(state, frame, projection) {
    const place = geometry.toolPlace(state);
    setShown(this.parts.tool, place !== null && state.tool !== null);
    if (!place || !state.tool) return;
    const { tool } = state.tool;
    const edge_mm = 62 / projection.scale;
    const still = { ...projection, x0: 0, y0: 0 };
    setAttribute(this.parts.edge, "d", `${geometry.pathOf(still, toolOutline(tool, edge_mm))}Z`);
    // Longer than the drawing is high: its end is never seen.
    setAttribute(this.parts.shank, "d", geometry.pathOf(still, shankOutline(tool, edge_mm, 2 * frame.r1 + 50)));
    const { x, y } = geometry.toPoint(projection, place.z, place.r);
    setAttribute(this.parts.tool, "transform", `translate(${x.toFixed(2)} ${y.toFixed(2)})`);
    setAttribute(this.parts.tool, "data-sure", String(place.sure));
  }

  /** The distance to go as a dimension (ISO 129-1) from the tool point to the end of the feed. @param {LiveState} state @param {Frame} frame @param {Projection} projection */
  drawToGo(state, frame, projection) {
    const place = geometry.toolPlace(state);
    const { operation } = state;
    const shown = Boolean(place?.sure && operation && state.to_go?.good && state.to_go.value_mm > 0);
    setShown(this.parts.toGo, shown);
    if (!place || !operation || !shown) return;
    const path = operation.kind === "facing"
      ? acrossDimension(place, operation, frame, projection)
      : alongDimension(place, operation, frame, projection);
    setAttribute(this.parts.toGoLine, "d", path.line);
    setAttribute(this.parts.toGoArrows, "d", path.arrows);
  }

  /** @param {LiveState} state @param {Projection} projection */
  drawScaleBar(state, projection) {
    const inch = state.units.length === "inch";
    const bar = geometry.scaleBarLength(projection.scale, this.box.width * 0.2, inch);
    const [x, y] = [8, this.box.height - 8];
    const length = bar.mm * projection.scale;
    setAttribute(this.parts.scaleBar, "d", `M${x} ${y - 5}v5h${length.toFixed(1)}v-5`);
    setAttribute(this.parts.scaleWords, "x", x + 4);
    setAttribute(this.parts.scaleWords, "y", y - 7);
    setText(this.parts.scaleWords, `${Number(bar.value.toPrecision(3))} ${unitWord(state.units)}`);
  }
}

/** @param {SVGElement} root */
function makeParts(root) {
  const defs = svg("defs", {}, root);
  const hatching = svg("pattern", { id: "hatching", width: HATCH_PX, height: HATCH_PX, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" }, defs);
  svg("path", { d: `M0 0V${HATCH_PX}`, class: "thin" }, hatching);
  const leftClip = svg("rect", {}, svg("clipPath", { id: "left-clip" }, defs));
  const layerClip = svg("rect", {}, svg("clipPath", { id: "layer-clip" }, defs));
  const metal = svg("path", { class: "metal" }, root);
  const left = svg("path", { class: "left-to-take", "clip-path": "url(#left-clip)" }, root);
  const layer = svg("path", { class: "this-layer", "clip-path": "url(#layer-clip)" }, root);
  const hatch = svg("path", { fill: "url(#hatching)" }, root);
  const cut = svg("rect", { class: "cut-away" }, root);
  const outline = svg("path", { class: "thick" }, root);
  const target = svg("path", { class: "finished" }, root);
  const chuck = svg("path", { class: "chuck" }, root);
  const centre = svg("path", { class: "centre-line" }, root);
  const marks = svg("path", { class: "thin" }, root);
  const toGo = svg("g", { class: "to-go-dimension" }, root);
  const toGoLine = svg("path", { class: "thin" }, toGo);
  const toGoArrows = svg("path", { class: "arrows" }, toGo);
  const tool = svg("g", { class: "tool" }, root);
  const shank = svg("path", { class: "shank" }, tool);
  const edge = svg("path", { class: "edge" }, tool);
  const scaleBar = svg("path", { class: "thin" }, root);
  const scaleWords = svg("text", { class: "scale-words" }, root);
  return { leftClip, layerClip, metal, left, layer, hatch, cut, outline, target, chuck, centre, marks, toGo, toGoLine, toGoArrows, tool, shank, edge, scaleBar, scaleWords };
}

/** @param {SVGElement} part */
function clear(part) {
  if (part instanceof SVGPathElement) setAttribute(part, "d", "");
  else for (const name of ["width", "height"]) setAttribute(part, name, 0);
}

/** @param {SVGRectElement} rect @param {Frame} region @param {Projection} projection */
function setRegion(rect, region, projection) {
  const from = geometry.toPoint(projection, region.z0, region.r0);
  const to = geometry.toPoint(projection, region.z1, region.r1);
  setAttribute(rect, "x", from.x.toFixed(2));
  setAttribute(rect, "y", from.y.toFixed(2));
  setAttribute(rect, "width", Math.max(0, to.x - from.x).toFixed(2));
  setAttribute(rect, "height", Math.max(0, to.y - from.y).toFixed(2));
}

/** What this stroke has taken already. @param {Operation} operation @param {import("./types").Stroke} stroke @param {Frame} frame @returns {Frame} */
function strokeRegion(operation, stroke, frame) {
  return geometry.layerRegion({ ...operation, start_mm: stroke.from_mm, end_mm: stroke.to_mm }, stroke.held_mm, frame);
}

/** Three-jaw chuck, hinted: the stepped end of one jaw and the end of the bar in it. @param {import("./types").Corner} root @param {Frame} frame @param {Projection} projection */
function chuckPath([z, r], frame, projection) {
  const back = frame.z0;
  const depth = z - back;
  const jaw = geometry.pathOf(projection, [
    [z, r],
    [z, r + 0.35 * depth + 1],
    [z - 0.45 * depth, r + 0.35 * depth + 1],
    [z - 0.45 * depth, r + 0.8 * depth + 2],
    [back, r + 0.8 * depth + 2],
  ]);
  return `${jaw}${geometry.pathOf(projection, [[back, r], [z, r]])}`;
}

/** @typedef {{ z: number, r: number }} Place */

/** @param {Place} place @param {Operation} operation @param {Frame} frame @param {Projection} projection */
function acrossDimension(place, operation, frame, projection) {
  const from = geometry.toPoint(projection, place.z, place.r);
  const to = geometry.toPoint(projection, place.z, operation.end_mm);
  const x = geometry.toPoint(projection, frame.z1, 0).x - 26;
  return {
    line: `M${from.x + 6} ${from.y}H${x + 8}M${to.x + 6} ${to.y}H${x + 8}M${x} ${from.y}V${to.y}`,
    arrows: arrow(x, from.y, 0, 1, from.y - to.y) + arrow(x, to.y, 0, -1, from.y - to.y),
  };
}

/** @param {Place} place @param {Operation} operation @param {Frame} frame @param {Projection} projection */
function alongDimension(place, operation, frame, projection) {
  const from = geometry.toPoint(projection, place.z, place.r);
  const to = geometry.toPoint(projection, operation.end_mm, place.r);
  const y = geometry.toPoint(projection, 0, 0).y - 22;
  return {
    line: `M${from.x} ${from.y - 6}V${y - 8}M${to.x} ${to.y - 6}V${y - 8}M${from.x} ${y}H${to.x}`,
    arrows: arrow(from.x, y, 1, 0, from.x - to.x) + arrow(to.x, y, -1, 0, from.x - to.x),
  };
}

/** A filled arrowhead at a point, pointing away from the line; none where there is no room. @param {number} x @param {number} y @param {number} dx @param {number} dy @param {number} room */
function arrow(x, y, dx, dy, room) {
  if (Math.abs(room) < 26) return "";
  const [bx, by] = [x - 12 * dx, y - 12 * dy];
  return `M${x} ${y}L${bx - 4 * dy} ${by - 4 * dx}L${bx + 4 * dy} ${by + 4 * dx}Z`;
}
