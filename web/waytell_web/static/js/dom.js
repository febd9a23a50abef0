/** Writing to the page only what changed: an unchanged heartbeat must cost nothing and repaint nothing. */

/** @type {WeakMap<Element, Map<string, string>>} */
const written = new WeakMap();

/** @param {Element} element @param {string} name @param {string} value */
function isNew(element, name, value) {
  let values = written.get(element);
  if (!values) written.set(element, (values = new Map()));
  if (values.get(name) === value) return false;
  values.set(name, value);
  return true;
}

/** @param {Element} element @param {string} text */
export function setText(element, text) {
  if (isNew(element, "#text", text)) element.textContent = text;
}

/** @param {Element} element @param {string} name @param {string | number} value */
export function setAttribute(element, name, value) {
  if (isNew(element, name, String(value))) element.setAttribute(name, String(value));
}

/** @param {HTMLElement | SVGElement} element @param {boolean} shown */
export function setShown(element, shown) {
  if (isNew(element, "hidden", String(!shown))) element.toggleAttribute("hidden", !shown);
}

/** @param {HTMLElement} element @param {string} name @param {string} value */
export function setProperty(element, name, value) {
  if (isNew(element, name, value)) element.style.setProperty(name, value);
}

/** The one element that must be there. @param {string} selector @param {ParentNode} [within] @returns {HTMLElement} */
export function find(selector, within = document) {
  const element = within.querySelector(selector);
  if (!(element instanceof HTMLElement)) throw new Error(`the page has no ${selector}`);
  return element;
}

const SVG = "http://www.w3.org/2000/svg";

/** @template {keyof SVGElementTagNameMap} K @param {K} name @param {Record<string, string | number>} [attributes] @param {Element} [parent] @returns {SVGElementTagNameMap[K]} */
export function svg(name, attributes = {}, parent) {
  const element = document.createElementNS(SVG, name);
  for (const [key, value] of Object.entries(attributes)) element.setAttribute(key, String(value));
  parent?.append(element);
  return element;
}
