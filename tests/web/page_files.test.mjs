/** The page as files: size, nothing from elsewhere, nothing inline, legible colours, vendored code unchanged. */

import assert from "node:assert/strict";
import { createHash } from "node:crypto";
import { readdirSync, readFileSync, statSync } from "node:fs";
import test from "node:test";
import { gzipSync } from "node:zlib";
import { fileURLToPath } from "node:url";

const ROOT = fileURLToPath(new URL("../../web/waytell_web/static/", import.meta.url));
const files = readdirSync(ROOT, { recursive: true, encoding: "utf8" }).filter((name) => statSync(ROOT + name).isFile());
const text = (name) => readFileSync(ROOT + name, "utf8");

const PAGES = ["index.html", "review.html", "plan.html", "prove.html", "overview.html"];

/** A page and every file that it or its modules name; what it loads later counts where that is asked for. */
function loadOf(page, later = []) {
  const loaded = new Set([page, ...later, ...[...text(page).matchAll(/(?:href|src)="static\/([^"]+)"/g)].map(([, name]) => name)]);
  for (const name of loaded) {
    if (!name.endsWith(".js")) continue;
    for (const [, path] of text(name).matchAll(/from "([^"]+)"/g)) loaded.add(new URL(path, `file:///${name}`).pathname.slice(1));
  }
  return [...loaded];
}

/** As the server packs them. */
const packed = (names) => names.reduce((sum, name) => sum + (/\.(js|css|html|svg)$/.test(name) ? gzipSync(readFileSync(ROOT + name), { level: 6 }).length : statSync(ROOT + name).size), 0);

for (const page of PAGES) {
  test(`a load of ${page} is under 250 kB, and under 100 kB as it is sent, with Set up opened`, () => {
    const bytes = loadOf(page).reduce((sum, name) => sum + statSync(ROOT + name).size, 0);
    assert.ok(bytes > 20_000 && bytes < 250_000, `${bytes} bytes`);
    const sent = packed(loadOf(page, page === "index.html" ? ["js/setup_screen.js"] : []));
    assert.ok(sent < 100_000, `${sent} bytes as it is sent`);
  });
}

test("vendored files are as their checksums say", () => {
  const lines = text("vendor/CHECKSUMS").trim().split("\n");
  assert.ok(lines.length >= 3);
  for (const line of lines) {
    const [sum, name] = line.split(/\s+/);
    const bytes = readFileSync(`${ROOT}vendor/${name}`);
    assert.equal(createHash("sha256").update(bytes).digest("hex"), sum, name);
  }
});

test("nothing is fetched from another place", () => {
  for (const name of files.filter((one) => /\.(html|css|js)$/.test(one) && !one.startsWith("vendor/"))) {
    const elsewhere = text(name).match(/https?:\/\/(?!www\.w3\.org\/2000\/svg)\S+/g);
    assert.equal(elsewhere, null, name);
  }
});

test("no page has an inline script, style or handler", () => {
  for (const page of PAGES) assert.doesNotMatch(text(page), /<style|\sstyle=|\son\w+=|<script(?![^>]*\ssrc=)/);
});

test("every file the page and its modules name is there", () => {
  for (const name of PAGES.flatMap((page) => loadOf(page))) assert.ok(files.includes(name), name);
  for (const name of files.filter((one) => one.startsWith("js/") && one.endsWith(".js"))) {
    for (const [, path] of text(name).matchAll(/(?:from |await import\()"([^"]+)"/g)) {
      const wanted = new URL(path, `file:///${name}`).pathname.slice(1);
      assert.ok(files.includes(wanted), `${name}: ${path}`);
    }
  }
});

test("text sizes are custom properties", () => {
  for (const name of files.filter((one) => one.endsWith(".css") && !one.startsWith("vendor/"))) {
    for (const [, value] of text(name).matchAll(/font-size:\s*([^;]+);/g)) assert.match(value, /var\(|inherit/, `${name}: ${value}`);
  }
});

const css = text("css/base.css");
const tokens = (block) => Object.fromEntries([...block.matchAll(/--([\w-]+):\s*(#[0-9a-f]{6});/g)].map(([, name, value]) => [name, value]));
const day = tokens(css.slice(css.indexOf(":root {"), css.indexOf(':root[data-look="night"]')));
const night = { ...day, ...tokens(css.slice(css.indexOf(':root[data-look="night"]'), css.indexOf(':root[data-look="day"]'))) };

/** Relative luminance and contrast as WCAG 2.2 defines them. */
function luminance(colour) {
  const [r, g, b] = [1, 3, 5].map((n) => parseInt(colour.slice(n, n + 2), 16) / 255).map((c) => (c <= 0.04045 ? c / 12.92 : ((c + 0.055) / 1.055) ** 2.4));
  return 0.2126 * r + 0.7152 * g + 0.0722 * b;
}
function contrast(one, other) {
  const [light, dark] = [luminance(one), luminance(other)].sort((a, b) => b - a);
  return (light + 0.05) / (dark + 0.05);
}

const WORDS = [
  ["ink", "paper"], ["ink", "raised"], ["soft", "paper"], ["soft", "raised"], ["on-danger", "danger"], ["on-warning", "warning"],
  ["on-must-act", "must-act"], ["danger-words", "paper"], ["must-act-words", "paper"], ["normal", "paper"], ["normal", "raised"],
];
const SHAPES = [["hatching", "metal"], ["tool", "paper"], ["ink", "layer"], ["must-act-words", "raised"], ["soft", "paper"]];

for (const [look, colours] of Object.entries({ day, night })) {
  test(`${look}: words stand out 4.5 to 1, shapes 3 to 1`, () => {
    for (const [front, back] of WORDS) assert.ok(contrast(colours[front], colours[back]) >= 4.5, `${front} on ${back}: ${contrast(colours[front], colours[back]).toFixed(2)}`);
    for (const [front, back] of SHAPES) assert.ok(contrast(colours[front], colours[back]) >= 3, `${front} on ${back}: ${contrast(colours[front], colours[back]).toFixed(2)}`);
  });
}
