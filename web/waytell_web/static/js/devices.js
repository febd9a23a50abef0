/**
 * Other displays: shows a code that lets a device in, and the devices that are let in. Served at the computer only.
 *
 * @typedef {"watch" | "operate"} Right
 * @typedef {{ id: string, name: string, role: Right, since: string, seen: string }} Device
 * @typedef {{ code: string, role: Right, address: string, qr_svg: string, good_for_s: number }} CodeShown
 * @typedef {import("./types").Refusal} Refusal
 */

import { html, render, useEffect, useState } from "../vendor/htm-preact-3.1.1.module.js";
import { answerTo, get, sendTo } from "./acts.js";
import { RefusalWords } from "./fields.js";
import { followLook } from "./look.js";

const place = /** @type {HTMLElement} */ (document.querySelector("[data-devices]"));
const LOOK_AGAIN_MS = 2000;
/** @type {Record<Right, string>} */
const MAY = { watch: "may watch", operate: "may operate" };

function DevicesPage() {
  const [devices, setDevices] = useState(/** @type {Device[] | null} */ (null));
  const [shown, setShown] = useState(/** @type {CodeShown | null} */ (null));
  const [refusal, setRefusal] = useState(/** @type {Refusal | null} */ (null));
  const look = async () => setDevices((await get("api/devices"))?.devices ?? null);
  useEffect(() => {
    look();
    const timer = setInterval(look, LOOK_AGAIN_MS);
    return () => clearInterval(timer);
  }, []);
  const show = async (/** @type {Right} */ role) => {
    const { answer, refusal: why } = await answerTo("api/devices/code", { role });
    setShown(answer);
    setRefusal(why);
  };
  const takeAway = async (/** @type {string} */ id) => {
    setRefusal(await sendTo("api/devices/take_away", { id }));
    look();
  };
  return html`<header class="title-line"><p class="what">Other displays</p><nav><a class="tab" href="./">Back to the lathe</a></nav></header>
    <main class="letting-in">
      <section aria-label="Let a device in">
        <h2>Let a phone or tablet in</h2>
        <p>It must be in the same network as this computer, and Waytell started with --lan. A code is good once, for five minutes.</p>
        <p class="form-buttons">
          <button type="button" class="button" data-show="watch" onClick=${() => show("watch")}>Show a code to watch</button>
          <button type="button" class="button" data-show="operate" onClick=${() => show("operate")}>Show a code to operate</button>
        </p>
        <${RefusalWords} refusal=${refusal} />
        ${shown && html`<${Code} key=${shown.code} shown=${shown} />`}
        ${shown?.role === "operate" && html`<p class="soft">A device that may operate sets sizes and ends as the keys here do. Nobody at a distance sees the chuck: give that only to the display at the lathe.</p>`}
      </section>
      <section aria-label="Devices that are let in">
        <h2>Let in</h2>
        ${devices === null && html`<p class="asking">Asking the server.</p>`}
        ${devices?.length === 0 && html`<p class="none">No device. Only this computer shows the lathe.</p>`}
        <ul class="let-in">${devices?.map((one) => html`<li key=${one.id} data-device=${one.name}>
          <span><b>${one.name}</b> <span class="soft">${MAY[one.role]}, since ${one.since}, seen ${one.seen}</span></span>
          <button type="button" class="button" onClick=${() => takeAway(one.id)}>Take away<span class="out-of-sight"> ${one.name}</span></button>
        </li>`)}</ul>
      </section>
    </main>`;
}

/** Gone when it is good no longer. @param {{ shown: CodeShown }} inputs */
function Code({ shown }) {
  const [good, setGood] = useState(true);
  useEffect(() => {
    const timer = setTimeout(() => setGood(false), shown.good_for_s * 1000);
    return () => clearTimeout(timer);
  }, []);
  if (!good) return html`<p>The code is good no longer. Show another.</p>`;
  return html`<div class="shown-code">
    <img src=${shown.qr_svg} alt="The address below and the code, to be scanned" width="280" height="280" />
    <p>Scan it, or open <b>${shown.address.split("#")[0]}</b> there and type<br /><b class="code" data-code>${shown.code.slice(0, 4)} ${shown.code.slice(4)}</b></p>
  </div>`;
}

followLook();
place.replaceChildren();
render(html`<${DevicesPage} />`, place);
