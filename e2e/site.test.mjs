// Every page: quiet console, nothing that axe-core finds, no sideways scroll, targets large enough, at three widths and
// in both schemes.
import assert from "node:assert/strict";
import { join } from "node:path";
import { PAGES, accessible, open } from "./pages.mjs";

const WIDTHS = [390, 820, 1440];
const SCHEMES = ["light", "dark"];

async function look({ browser, base, shots }, scheme) {
  const page = await open(browser, { colorScheme: scheme });
  const faults = [];
  for (const [name, path] of Object.entries(PAGES)) {
    page.said.length = 0;
    await one(page, { base, shots }, name, path, scheme).catch((fault) => faults.push(`${name}: ${fault.message}`));
  }
  await page.context().close();
  assert.equal(faults.length, 0, faults.join("\n\n"));
}

async function one(page, { base, shots }, name, path, scheme) {
  await page.goto(base + path);
  await accessible(page, `${name}, ${scheme}`);
  assert.deepEqual(page.said, [], name);
  // Backquotes set off what is typed where there is no other type; a page has one.
  const bare = await page.evaluate(() => {
    const words = document.querySelector("main").cloneNode(true);
    for (const literal of words.querySelectorAll("pre, code, textarea, script")) literal.remove();
    return words.textContent.match(/.{0,30}`.{0,30}/)?.[0];
  });
  assert.equal(bare, undefined, `${name} shows a backquote`);
  for (const width of WIDTHS) {
    await page.setViewportSize({ width, height: 900 });
    const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
    assert.ok(wide <= 0, `${name} is ${wide} px too wide at ${width} px`);
    if (shots) await page.screenshot({ path: join(shots, `${name}-${width}-${scheme}.png`), fullPage: true });
  }
  // Small points of a chart are for the mouse; the table beside it leads to all of them (WCAG 2.2, 2.5.8, equivalent).
  const small = await page.evaluate(() =>
    [...document.querySelectorAll("a,button,input:not([type=hidden]),select,summary,textarea")]
      .filter((e) => e.checkVisibility() && !e.closest(".skip, p, li, h2, .edit, .crowd") && e.getClientRects().length)
      .map((e) => [e.getBoundingClientRect(), e])
      .filter(([box]) => Math.min(box.width, box.height) < 23.5)
      .map(([box, e]) => `${e.outerHTML.slice(0, 90)} ${box.width.toFixed(0)}×${box.height.toFixed(0)}`));
  assert.deepEqual(small.slice(0, 5), [], `${name}: targets below 24 px`);
  const acts = await page.evaluate(() =>
    [...document.querySelectorAll("button,.button,.acts a,.ticked label,select,input[type=text]")]
      .filter((e) => e.checkVisibility())
      .filter((e) => e.getBoundingClientRect().height < 43.5).map((e) => e.outerHTML.slice(0, 90)));
  assert.deepEqual(acts.slice(0, 5), [], `${name}: acts below 44 px`);
}

export const tests = Object.fromEntries(
  SCHEMES.map((scheme) => [`every page in ${scheme} is quiet, accessible and fits`, (world) => look(world, scheme)]),
);
