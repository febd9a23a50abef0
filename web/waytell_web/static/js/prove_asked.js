/** A button that asks once before it does what cannot be taken back so easily. */

import { html, useEffect, useRef, useState } from "../vendor/htm-preact-3.1.1.module.js";

/** @param {{ words: string, asks: string, yes: string, no: string, deed: string, onYes: () => void }} inputs */
export function AskedOnce({ words, asks, yes, no, deed, onYes }) {
  const [asking, setAsking] = useState(false);
  const place = useRef(/** @type {HTMLElement | null} */ (null));
  const was = useRef(false);
  useEffect(() => {
    // The keyboard goes along: to the answer that changes nothing, and back to the button.
    const button = place.current?.querySelector("button:last-of-type");
    if (asking !== was.current && button instanceof HTMLElement) button.focus();
    was.current = asking;
  }, [asking]);
  const sure = () => {
    setAsking(false);
    onYes();
  };
  if (!asking) return html`<div class="asked" ref=${place}><button type="button" data-deed=${deed} onClick=${() => setAsking(true)}>${words}</button></div>`;
  return html`<div class="asked asking-now" role="group" aria-label=${words} ref=${place}>
    <p>${asks}</p>
    <button type="button" data-deed=${`${deed}-sure`} onClick=${sure}>${yes}</button>
    <button type="button" onClick=${() => setAsking(false)}>${no}</button>
  </div>`;
}
