/**
 * The page of a device that was not let in yet: it tells the code that the computer shows.
 *
 * A code that was scanned stands behind the # sign of the address; it is taken out of there at once.
 */

import { html, render, useState } from "../vendor/htm-preact-3.1.1.module.js";
import { sendTo } from "./acts.js";
import { SendForm } from "./form.js";
import { followLook } from "./look.js";

const place = /** @type {HTMLElement} */ (document.querySelector("[data-pair]"));

/** @param {{ scanned: string }} inputs */
function Pair({ scanned }) {
  const [code, setCode] = useState(scanned);
  const [name, setName] = useState("");
  const send = () => sendTo("api/pair", { code, name: name.trim() || "Display" });
  return html`<header class="title-line"><p class="what">Let this device in</p></header>
    <main class="letting-in">
      <p>Waytell runs on a computer in the workshop. There, open <b>Set up</b>, <b>Other displays</b>, and show a code.</p>
      <${SendForm} button="Let me in" send=${send} done=${() => location.replace("./")}>
        <label class="field"><span class="field-label">Code</span>
          <input class="code" type="text" inputmode="numeric" autocomplete="one-time-code" value=${code} required onInput=${(/** @type {Event} */ e) => setCode(valueOf(e))} /></label>
        <label class="field"><span class="field-label">What this device is called there</span>
          <input type="text" maxlength="40" placeholder="tablet at the bench" value=${name} onInput=${(/** @type {Event} */ e) => setName(valueOf(e))} /></label>
      <//>
    </main>`;
}

/** @param {Event} event */
function valueOf(event) {
  return /** @type {HTMLInputElement} */ (event.target).value;
}

followLook();
place.replaceChildren();
const scanned = location.hash.slice(1).replace(/\D/g, "");
if (location.hash) history.replaceState(null, "", location.pathname);
render(html`<${Pair} scanned=${scanned} />`, place);
