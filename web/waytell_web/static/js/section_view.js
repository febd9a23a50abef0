/**
 * One view of the half section: the parts of the drawing and how they follow the state, for any projection.
 *
 * The parts are made once; each state changes only attributes that differ.
 *
 * @typedef {import("./types").Corner} Corner
 * @typedef {import("./types").LiveState} LiveState
 * @typedef {import("./types").Operation} Operation
 * @typedef {import("./section_geometry.js").Frame} Frame
 * @typedef {import("./section_geometry.js").Projection} Projection
 */

import { setAttribute, setShown, svg } from "./dom.js";
import * as live from "./live_geometry.js";
import * as geometry from "./section_geometry.js";
import { creepFactor, creptSpots, within } from "./last_pass.js";
import { limitLines } from "./zoom.js";
import { shankOutline, toolOutline } from "./tool_outline.js";

const HATCH_PX = 9;
const EDGE_PX = 62;
const LIMITS_PX = 4;

export class SectionView {
  /** @param {SVGElement} parent @param {string} name tells the clip paths of two views apart */
  constructor(parent, name) {
    this.root = svg("g", {}, parent);
    this.parts = makeParts(this.root, name);
    this.drawnTrail = "";
  }

  /** @param {LiveState} state @param {Frame} frame what is in sight @param {Projection} projection @param {number} magnified */
  draw(state, frame, projection, magnified) {
    this.drawWork(state, frame, projection);
    this.drawPlan(state, frame, projection);
    this.drawTool(state, frame, projection, magnified);
  }

  /** The limits of the size, once they are apart to be seen. @param {LiveState} state @param {Projection} projection */
  drawLimits({ operation }, projection) {
    const apart = operation !== null && operation.tolerance_mm * projection.scale >= LIMITS_PX;
    setShown(this.parts.limits, apart);
    if (!apart) return;
    setAttribute(this.parts.limits, "d", limitLines(operation).map((line) => geometry.pathOf(projection, line)).join(""));
  }

  /**
   * The way of the last pass. Worked out anew only when it or the view has changed.
   * @param {import("./last_pass.js").Taken | null} taken @param {Projection} projection @param {number} [warning_mm] creep is drawn from half of it on; none where it is not given
   * @param {Frame} [sight] only what lies about it is drawn
   * @returns {number | null} how many times larger creep is drawn
   */
  drawTrail(taken, projection, warning_mm, sight) {
    const { trail: way, creep } = this.parts;
    setShown(way, taken !== null);
    const factor = taken && warning_mm !== undefined ? creepFactor(taken.passed, projection.scale, warning_mm) : null;
    setShown(creep, factor !== null);
    const key = `${taken?.passed.number} ${projection.scale} ${projection.x0} ${projection.y0} ${factor}`;
    if (!taken || key === this.drawnTrail) return factor;
    this.drawnTrail = key;
    const spots = sight ? within(taken.spots, sight) : taken.spots;
    setAttribute(way, "d", geometry.pathOf(projection, spots));
    setAttribute(way, "data-sure", String(taken.passed.doubts.length === 0));
    if (factor !== null) setAttribute(creep, "d", geometry.pathOf(projection, creptSpots(taken.passed, spots, factor)));
    return factor;
  }

  /** @param {LiveState} state @param {Frame} frame @param {Projection} projection */
  drawWork(state, frame, projection) {
    const { outline, bore } = state.work;
    const { parts } = this;
    const section = geometry.pathOf(projection, geometry.sectionCorners(outline, bore));
    const closed = section && `${section}Z`;
    for (const part of [parts.metal, parts.hatch, parts.layer, parts.left]) setAttribute(part, "d", closed);
    setAttribute(parts.outline, "d", geometry.pathOf(projection, outline) + endFaces(outline, bore, projection));
    const from = geometry.toPoint(projection, frame.z0, 0);
    setAttribute(parts.centre, "d", `M${from.x} ${from.y}H${geometry.toPoint(projection, frame.z1, 0).x}`);
  }

  /** @param {LiveState} state @param {Frame} frame @param {Projection} projection */
  drawPlan(state, frame, projection) {
    const { operation, remaining } = state;
    const { parts } = this;
    const tool = state.tool?.tool;
    setShown(parts.plan, operation !== null);
    setShown(parts.target, operation !== null);
    if (!operation) return;
    setAttribute(parts.target, "d", geometry.pathOf(projection, geometry.targetLine(operation, geometry.outsideRadius(state.work.outline), tool)));
    setRegion(parts.leftClip, live.layerRegion(operation, operation.target_mm, frame, tool), projection);
    const pass_mm = remaining?.pass_target_mm ?? operation.target_mm;
    setRegion(parts.layerClip, live.layerRegion(operation, pass_mm, frame, tool), projection);
  }

  /** @param {LiveState} state @param {Frame} frame @param {Projection} projection @param {number} magnified */
  drawTool(state, frame, projection, magnified) {
    const place = live.toolPlace(state);
    const { parts } = this;
    setShown(parts.tool, place !== null && state.tool !== null);
    if (!place || !state.tool) return;
    const { tool } = state.tool;
    const most_mm = (EDGE_PX * magnified) / projection.scale;
    // A boring tool is no thicker than the bore that it goes into.
    const edge_mm = tool.kind === "boring" ? Math.min(most_mm, Math.max(0.85 * place.r, 0.2 * most_mm)) : most_mm;
    const still = { ...projection, x0: 0, y0: 0 };
    setAttribute(parts.edge, "d", `${geometry.pathOf(still, toolOutline(tool, edge_mm))}Z`);
    // Longer than the drawing is high: its end is never seen.
    setAttribute(parts.shank, "d", geometry.pathOf(still, shankOutline(tool, edge_mm, 2 * frame.r1 + 50)));
    const { x, y } = geometry.toPoint(projection, place.z, place.r);
    setAttribute(parts.tool, "transform", `translate(${x.toFixed(2)} ${y.toFixed(2)})`);
    setAttribute(parts.tool, "data-sure", String(place.sure));
  }
}

/** The free end runs on to the centre line, past the mouth of the bore; the bore has lines of its own. @param {Corner[]} outline @param {Corner[]} bore @param {Projection} projection */
function endFaces(outline, bore, projection) {
  if (outline.length === 0) return "";
  const inside = geometry.boreEdges(bore).map((edge) => geometry.pathOf(projection, edge));
  const mouth = bore.length > 0 ? bore[bore.length - 1] : outline[outline.length - 1];
  const ends = geometry.pathOf(projection, [outline[outline.length - 1], mouth, [mouth[0], 0]]);
  return [ends, ...inside].join("");
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

/** @param {SVGElement} root @param {string} name */
function makeParts(root, name) {
  const defs = svg("defs", {}, root);
  const hatching = svg("pattern", { id: `${name}-hatching`, width: HATCH_PX, height: HATCH_PX, patternUnits: "userSpaceOnUse", patternTransform: "rotate(45)" }, defs);
  svg("path", { d: `M0 0V${HATCH_PX}`, class: "thin" }, hatching);
  const leftClip = svg("rect", {}, svg("clipPath", { id: `${name}-left` }, defs));
  const layerClip = svg("rect", {}, svg("clipPath", { id: `${name}-layer` }, defs));
  const metal = svg("path", { class: "metal" }, root);
  const plan = svg("g", {}, root);
  const left = svg("path", { class: "left-to-take", "clip-path": `url(#${name}-left)` }, plan);
  const layer = svg("path", { class: "this-layer", "clip-path": `url(#${name}-layer)` }, plan);
  const hatch = svg("path", { class: "hatched", fill: `url(#${name}-hatching)` }, root);
  const outline = svg("path", { class: "thick" }, root);
  const target = svg("path", { class: "finished" }, root);
  const limits = svg("path", { class: "limits" }, root);
  const way = svg("path", { class: "trail" }, root);
  const creep = svg("path", { class: "creep" }, root);
  const centre = svg("path", { class: "centre-line" }, root);
  const tool = svg("g", { class: "tool" }, root);
  const shank = svg("path", { class: "shank" }, tool);
  const edge = svg("path", { class: "edge" }, tool);
  return { leftClip, layerClip, metal, plan, left, layer, hatch, outline, target, limits, trail: way, creep, centre, tool, shank, edge };
}
