// The drawings in pages: slots and points large enough to hit, the map by arrow keys, a slot edited in place, the chart.
import assert from "node:assert/strict";
import { PAGES, open } from "./pages.mjs";

const WIDTHS = [390, 820, 1440];

// The shorter side of each element's box, px.
const sides = (page, what) =>
  page.locator(what).evaluateAll((all) => all.map((e) => { const box = e.getBoundingClientRect(); return Math.min(box.width, box.height); }));

async function large({ browser, base }) {
  for (const [options, least] of [[{ hasTouch: true, isMobile: true }, 43.5], [{}, 23.5]]) {
    for (const width of WIDTHS) {
      const page = await open(browser, { ...options, viewport: { width, height: 900 } });
      for (const name of ["plan", "build", "build-large"]) {
        await page.goto(base + PAGES[name]);
        const all = await sides(page, "[data-map] a[data-slot]");
        assert.ok(all.length >= 4, name);
        assert.ok(Math.min(...all) >= least, `${name} at ${width} px: a slot of ${Math.min(...all)} px, ${least} are needed`);
      }
      await page.goto(base + PAGES.plans);
      const points = await sides(page, ".chart a:not([tabindex])");
      assert.ok(points.length > 1 && Math.min(...points) >= 23.5, `points at ${width} px: ${points}`);
      await page.context().close();
    }
  }
}

async function arrows({ browser, base }) {
  const page = await open(browser);
  for (const name of ["build-large", "plan"]) {
    await page.goto(base + PAGES[name]);
    const slots = page.locator("[data-map] a[data-slot]");
    const labels = await slots.evaluateAll((all) => all.map((e) => e.dataset.slot));
    assert.equal(await page.locator("[data-map] [tabindex='0']").count(), 1, "the map is one stop");
    const here = () => page.evaluate(() => {
      const box = document.activeElement.getBoundingClientRect();
      return { label: document.activeElement.dataset.slot, x: box.x + box.width / 2, y: box.y + box.height / 2 };
    });
    const reached = new Set();
    for (let at = 0; at < labels.length; at += 1) {
      for (const [key, axis, sign] of [["ArrowRight", "x", 1], ["ArrowLeft", "x", -1], ["ArrowDown", "y", 1], ["ArrowUp", "y", -1]]) {
        await slots.nth(at).focus();
        const from = await here();
        await page.keyboard.press(key);
        const to = await here();
        if (to.label === from.label) continue;
        assert.ok((to[axis] - from[axis]) * sign > 0, `${key} from ${from.label} goes to ${to.label}`);
        reached.add(to.label);
      }
    }
    assert.deepEqual(labels.filter((label) => !reached.has(label)), [], `${name}: slots that no arrow leads to`);
    assert.equal(await page.locator("[data-map] [tabindex='0']").count(), 1, "it stays one stop");
  }
  assert.deepEqual(page.said, []);
  await page.context().close();
}

async function inPlace({ browser, base }) {
  const page = await open(browser);
  await page.goto(base + PAGES.build);
  const verdict = page.getByRole("status").first();
  // The element that a screen reader listens to has to stay.
  await verdict.evaluate((e) => { e.stays = true; });
  const before = await verdict.textContent();
  await page.getByRole("link", { name: /slot main-1-inner/ }).click();
  const field = page.getByLabel("Module in main-1-inner").first();
  await field.fill("16GB 2Rx8 PC4-2666V-U");
  await field.press("Enter");
  await page.waitForFunction((old) => document.querySelector("[role=status]").textContent !== old, before);
  assert.ok(await verdict.evaluate((e) => e.stays === true), "the verdict's element was exchanged");
  await page.getByRole("link", { name: /slot main-1-inner, 16 GiB 2Rx8/ }).waitFor();
  assert.ok(new URL(page.url()).search.includes("main-1-inner"), "the address holds the change");
  // In the last row there is no room below; the form must not hang out of the map.
  await page.goto(base + PAGES["build-large"]);
  for (const label of ["front-6-inner", "rear-6-inner", "front-12-inner"]) {
    await page.getByRole("link", { name: new RegExp(`slot ${label},`) }).click();
    const [map, act] = [await page.locator("[data-map]").boundingBox(), await page.getByRole("button", { name: "Put it in" }).boundingBox()];
    assert.ok(act.y >= map.y && act.y + act.height <= map.y + map.height, `${label}: the button is cut off`);
    assert.ok(act.x >= map.x && act.x + act.width <= map.x + map.width, `${label}: the button is cut off`);
    await page.keyboard.press("Escape");
  }
  await page.goto(base + PAGES.build);
  // Escape leaves a slot as it was.
  await page.getByRole("link", { name: /slot main-2-outer/ }).click();
  await page.getByLabel("Module in main-2-outer").first().fill("8GB");
  await page.keyboard.press("Escape");
  await page.getByRole("link", { name: /slot main-2-outer, empty/ }).waitFor();
  assert.deepEqual(page.said, []);
  await page.context().close();
}

async function chart({ browser, base }) {
  const page = await open(browser);
  await page.goto(base + PAGES.plans);
  const figure = page.getByRole("group", { name: "Price over capacity" });
  const names = await figure.getByRole("link").evaluateAll((all) => all.map((a) => a.getAttribute("aria-label")));
  assert.ok(names.length >= 2, names.join("; "));
  names.forEach((name, at) => assert.ok(name.startsWith(`plan ${at + 1}: `), `the points go in the order of the plans: ${name}`));
  await figure.getByRole("link", { name: /^plan 2: / }).click();
  await page.getByRole("heading", { name: "Plan 2", exact: true }).waitFor();
  await page.goto(base + PAGES.front);
  assert.ok((await page.locator(".chart a[tabindex='-1']").count()) > 20, "the whole front is drawn");
  assert.deepEqual(page.said, []);
  await page.context().close();
}

export const tests = {
  "slots and points are large enough to hit": large,
  "arrow keys lead to every slot, each in its direction": arrows,
  "a slot is edited in place and the verdict follows": inPlace,
  "the chart leads to its plans": chart,
};
