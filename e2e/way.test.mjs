// The whole way from need to bench sheet: by mouse, by keyboard alone, and with script off.
import assert from "node:assert/strict";
import { PAGES, open } from "./pages.mjs";

async function byMouse({ browser, base }, options) {
  const page = await open(browser, options);
  const script = options?.javaScriptEnabled !== false;
  await page.goto(base);
  await page.getByRole("link", { name: "Need", exact: true }).first().click();
  if (script) {
    // Choosing a board asks for its form by itself.
    await Promise.all([page.waitForURL(/board=dunlin-2s6/), page.getByLabel("Board", { exact: true }).selectOption("dunlin-2s6")]);
  } else {
    await page.getByLabel("Board", { exact: true }).selectOption("dunlin-2s6");
    await page.getByRole("button", { name: "Go on with this board" }).click();
  }
  await page.getByLabel("About", { exact: true }).fill("750 GB");
  await page.getByLabel("Budget, for all machines").fill("2500 EUR");
  await page.getByLabel("RDIMM", { exact: true }).check();
  await page.getByLabel("64 GiB", { exact: true }).check();
  await page.getByLabel("2933 MT/s", { exact: true }).check();
  await page.getByRole("button", { name: "Plan it" }).click();
  await page.getByRole("heading", { name: "Plans worth having" }).waitFor();
  await page.getByRole("row").getByRole("link", { name: "Plan 1", exact: true }).click();
  await page.getByRole("heading", { name: "Plan 1", exact: true }).waitFor();
  await page.getByRole("link", { name: "Print its sheets" }).click();
  await page.getByRole("link", { name: "Open the Bench sheet" }).click();
  const sheet = page.getByRole("article");
  await sheet.getByText("pull every power cord").first().waitFor();
  const steps = await sheet.getByRole("checkbox").count();
  assert.ok(steps > 10, `${steps} steps`);
  await sheet.getByRole("checkbox").first().check();
  const pdf = await page.request.get(await page.getByRole("link", { name: "As PDF" }).evaluate((a) => a.href));
  assert.equal(pdf.headers()["content-type"], "application/pdf");
  assert.equal((await pdf.body()).subarray(0, 5).toString(), "%PDF-");
  // Going back brings every step as it was.
  await page.goBack();
  await page.goBack();
  await page.getByRole("heading", { name: "Plan 1", exact: true }).waitFor();
  assert.deepEqual(page.said, []);
  await page.context().close();
}

// Presses Tab until the focus is on what is looked for.
async function tabTo(page, what, most = 200) {
  for (let i = 0; i < most; i += 1) {
    await page.keyboard.press("Tab");
    const here = await page.evaluate(() => {
      const e = document.activeElement;
      const label = e.labels?.[0]?.textContent ?? e.getAttribute("aria-label") ?? e.textContent;
      return label.trim();
    });
    if (here === what) return;
  }
  assert.fail(`Tab does not come to ${what}`);
}

async function byKeyboard({ browser, base }) {
  const page = await open(browser);
  const type = (text) => page.keyboard.type(text);
  const press = (key) => page.keyboard.press(key);
  await page.goto(base);
  await press("Tab");
  assert.equal(await page.evaluate(() => document.activeElement.textContent), "To the main part");
  await tabTo(page, "Need");
  await press("Enter");
  await page.waitForURL(/need/);
  await tabTo(page, "Board");
  const chosen = page.waitForURL(/board=dunlin-2s6/);
  await type("dunlin-2s6:");
  await press("Enter");
  await press("Tab").catch(() => {});
  await chosen;
  await page.waitForLoadState();
  await tabTo(page, "About");
  await type("750 GB");
  await tabTo(page, "Budget, for all machines");
  await type("2500 EUR");
  await tabTo(page, "RDIMM");
  await press("Space");
  await tabTo(page, "64 GiB");
  await press("Space");
  await tabTo(page, "Plan it");
  await press("Enter");
  await page.getByRole("heading", { name: "Plans worth having" }).waitFor();
  await tabTo(page, "Plan 1");
  await press("Enter");
  await page.getByRole("heading", { name: "Plan 1", exact: true }).waitFor();
  await tabTo(page, "Take it as a build");
  await press("Enter");
  await page.getByRole("heading", { name: /^Build on/ }).waitFor();
  // The map is one stop; arrows move over the board.
  const slot = () => page.evaluate(() => document.activeElement.dataset.slot);
  for (let i = 0; i < 40 && !(await slot()); i += 1) await press("Tab");
  const first = await slot();
  assert.ok(first, "Tab comes to the map");
  await press("ArrowRight");
  const second = await slot();
  assert.ok(second && second !== first, `${first} → ${second}`);
  await press("ArrowLeft");
  assert.equal(await slot(), first);
  await press("End");
  const last = await slot();
  assert.notEqual(last, first);
  await press("Home");
  assert.equal(await slot(), first);
  // Enter opens the slot in place; the verdict follows at once, and the focus stays.
  const before = await page.getByRole("status").first().textContent();
  await press("Enter");
  await page.getByLabel(`Module in ${first}`).first().waitFor();
  await press("Control+a");
  await type("64GB 2Rx4 PC4-2400T-R");
  await press("Enter");
  await page.waitForFunction((old) => document.querySelector("[role=status]").textContent !== old, before);
  assert.match(await page.getByRole("status").first().textContent(), /slower|unproven|wrong|unsupported/);
  await page.waitForFunction((name) => document.activeElement.dataset.slot === name, first);
  assert.ok(new URL(page.url()).search.includes("2400T"), "the address holds the change");
  await press("Tab");
  await press("Enter").catch(() => {});
  await page.goto(page.url().replace("/build?", "/sheets?"));
  await tabTo(page, "Open the Bench sheet");
  await press("Enter");
  await page.getByRole("article").waitFor();
  assert.deepEqual(page.said, []);
  await page.context().close();
}

async function faults({ browser, base }) {
  const page = await open(browser);
  await page.goto(`${base}/need?board=dunlin-2s6`);
  await page.getByLabel("About", { exact: true }).fill("750 apples");
  await page.getByLabel("Budget, for all machines").fill("2500 EUR");
  await page.getByRole("button", { name: "Plan it" }).click();
  const about = page.getByLabel("About", { exact: true });
  await about.waitFor();
  assert.equal(await about.getAttribute("aria-invalid"), "true");
  assert.match(await page.locator("#f-about-wrong").textContent(), /apples/);
  assert.equal(await about.inputValue(), "750 apples", "what was typed stays");
  assert.equal(await page.getByLabel("Budget, for all machines").inputValue(), "2500 EUR");
  await page.context().close();
}

async function hostile({ browser, base }) {
  const page = await open(browser);
  let alarmed = false;
  page.on("dialog", (dialog) => { alarmed = true; dialog.dismiss(); });
  const nasty = `"'><script>alert(1)</script><img src=x onerror=alert(2)>\u202e`;
  const sent = encodeURIComponent(nasty);
  for (const path of [
    `/need?board=${sent}`,
    `/plans?board=dunlin-2s6&processors=${sent}&about=${sent}&mode=${sent}&firmware=${sent}&installed=${sent}&stock=${sent}`,
    `/build?board=dunlin-2s6&s.west-1-outer=${sent}&s.${sent}=${sent}&firmware=${sent}`,
    `/sheet/bench?board=plover-1s2&processors=ddr4-2ch-2666&s.main-1-outer=16GB+2Rx8+PC4-2666V-U&customer=${sent}&number=${sent}`,
    `/rules/${sent}`,
    `/boards/${sent}`,
    `/${sent}`,
  ]) {
    await page.goto(base + path);
    const strange = await page.evaluate(() => document.querySelectorAll("body script, [onerror], img[src=x]").length);
    assert.equal(strange, 0, path);
    assert.ok(!alarmed, path);
  }
  await page.context().close();
}

// Side by side a customer sees what the quote will say, and on paper nothing of what the shop paid.
async function customersPrice({ browser, base }) {
  const page = await open(browser);
  const path = (name, more) => base + PAGES[name].replace("&plan=1&plan=2&plan=3", more).replace("&pick=2", more);
  await page.goto(path("quote", "&pick=3"));
  const total = await page.locator(".sheet tfoot tr", { hasText: "Total" }).locator("td").last().textContent();
  await page.goto(path("side-by-side", "&plan=3&plan=1"));
  const price = page.getByRole("row", { name: /^Price/ }).locator("td").first();
  assert.equal(await price.locator("strong").textContent(), total);
  assert.match(await price.textContent(), /with VAT 19 %; net /);
  const cost = page.getByRole("row", { name: /at cost/ });
  assert.ok(await cost.isVisible());
  await page.emulateMedia({ media: "print" });
  assert.ok(!(await cost.isVisible()), "a customer's paper has the shop's costs on it");
  assert.deepEqual(page.said, []);
  await page.context().close();
}

export const tests = {
  "plans side by side have the customer's price": customersPrice,
  "the way by mouse": (world) => byMouse(world),
  "the way with script off": (world) => byMouse(world, { javaScriptEnabled: false }),
  "the way by keyboard alone": byKeyboard,
  "faults stand beside their fields and nothing typed is lost": faults,
  "hostile words stay words": hostile,
};
