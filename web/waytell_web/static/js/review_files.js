/** Files to take away: each with what it is good for. */

import { html } from "../vendor/htm-preact-3.1.1.module.js";

/** @type {{ href: string, name: string, words: string, opens?: boolean }[]} */
const FILES = [
  { href: "api/export/report.html", name: "Report", words: "To print or to keep: drawings, passes, sizes. Opens in a page of its own.", opens: true },
  { href: "api/export/passes.csv", name: "Passes (CSV)", words: "All passes as a table, for a spreadsheet. X is a radius, lengths in mm." },
  { href: "api/export/sizes.csv", name: "Sizes (CSV)", words: "All that was measured, as a table." },
  { href: "api/export/section.dxf", name: "Section (DXF)", words: "The turned half section as it is now, as a drawing in mm." },
  { href: "api/export/record.json", name: "Record (JSON)", words: "Everything, with the motion of each pass, for programs." },
];

export function filesView() {
  return html`<ul class="files">
    ${FILES.map(({ href, name, words, opens }) => html`<li>
      <a class="button" href=${href} target=${opens ? "_blank" : null} download=${opens ? null : ""}>${name}</a><p>${words}</p>
    </li>`)}
  </ul>
  <p class="soft caution">Your machine's manual, local rules and a qualified person come first. All of it is what the scales said: measure the part.</p>`;
}
