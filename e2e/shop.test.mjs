// The shop's way by mouse: need, plan, quote, order, reserve, pick, built, verified, shipped; and what the forms refuse.
import assert from "node:assert/strict";
import { accessible, open } from "./pages.mjs";

const NEED = "board=dunlin-2s6&processors=ddr4-6ch-2933&processors=ddr4-6ch-2933&firmware=2.14&least=768+GB&most=768+GB" +
  "&kinds=RDIMM&capacities=64+GiB&rates=2933";

async function way({ browser, base }, options) {
  const page = await open(browser, options);
  const button = (name) => page.getByRole("button", { name, exact: true });
  await page.goto(`${base}/plans?${NEED}`);
  await page.getByRole("row").getByRole("link", { name: "Plan 1", exact: true }).click();
  await page.getByRole("link", { name: "Quote it" }).click();
  await page.getByRole("heading", { name: "New quote" }).waitFor();
  await page.getByRole("link", { name: "Plan from the shelf instead" }).click();
  // Wrong fields are told beside themselves, and what was typed stays.
  await page.getByLabel("Customer").fill("Lagoon");
  await page.getByLabel("Margin, in percent").fill("many");
  await page.getByLabel("Days for which it holds").fill("30");
  await button("Write the quote").click();
  assert.match(await page.locator("#f-margin-wrong").textContent(), /no percentage/);
  assert.equal(await page.getByLabel("Customer").inputValue(), "Lagoon");
  assert.equal(await page.getByLabel("Days for which it holds").inputValue(), "30");
  if (options?.javaScriptEnabled !== false) await accessible(page, "a refused quote");
  await page.getByLabel("Margin, in percent").fill("12.5");
  await button("Write the quote").click();
  await page.getByRole("heading", { name: /^Quote Q-/ }).waitFor();
  assert.match(await page.getByRole("status").first().textContent(), /open: for Lagoon, 1 machine, net/);
  await page.getByText("Prices and stock are as quoted").waitFor();
  const pdf = await page.request.get(await page.getByRole("link", { name: "As PDF" }).evaluate((a) => a.href));
  assert.equal((await pdf.body()).subarray(0, 5).toString(), "%PDF-");
  await page.getByLabel("Wanted by").fill("tomorrow");
  await button("Make it an order").click();
  assert.match(await page.locator("#f-due-wrong").textContent(), /no day/);
  await page.getByLabel("Wanted by").fill("2030-02-28");
  await button("Make it an order").click();
  await page.getByRole("heading", { name: /^Order O-/ }).waitFor();
  const here = page.url();
  assert.equal(await page.locator(".stages [aria-current]").textContent(), "chosen");
  await button("Reserve them").click();
  await page.getByText("of 12 to pick").waitFor();
  await pick(page, button);
  assert.equal(await page.locator(".stages [aria-current]").textContent(), "picked");
  // A module is exchanged at the bench; without a reason it is not.
  await page.getByText("Exchange a module").click();
  await page.getByLabel("Goes in").fill("nowhere");
  await page.getByLabel("Why").fill("bent latch");
  await button("Exchange them").click();
  assert.match(await page.locator("#f-item-wrong").textContent(), /no item with the serial/);
  assert.equal(await page.getByLabel("Why").inputValue(), "bent latch");
  for (const [name, stage] of [["It is built", "built"], ["It is verified", "verified"], ["It is shipped", "shipped"]]) {
    await button(name).click();
    await page.waitForFunction((s) => document.querySelector(".stages [aria-current]").textContent === s, stage).catch(async () => {
      assert.equal(await page.locator(".stages [aria-current]").textContent(), stage);
    });
  }
  assert.equal(page.url(), here);
  assert.equal(await page.getByRole("button").count(), 0, "a shipped order has nothing left to do");
  assert.deepEqual(page.said, []);
  await page.context().close();
}

// Scans what lies in the bins: a wrong serial is refused, each right one is told with its slot, and the last one goes on.
async function pick(page, button) {
  const field = page.getByLabel("Serial of the module in your hand");
  await field.fill("U000");
  await button("Pick it").click();
  assert.match(await page.locator("#f-scan-wrong").textContent(), /no module that is promised/);
  assert.equal(await field.inputValue(), "U000");
  const rows = await page.locator("#modules ~ .wide").first().locator("tbody tr").evaluateAll((all) => all.map((tr) => [...tr.children].map((c) => c.textContent.trim())));
  assert.equal(rows.length, 12);
  for (const [slot, , , serial, , item] of rows) {
    await field.fill(serial === "-" ? item : serial);
    await field.press("Enter");
    await page.getByRole("status").filter({ hasText: "Picked:" }).waitFor();
    assert.match(await page.getByRole("status").first().textContent(), serial === "-" ? /for slot/ : new RegExp(`${serial}.*${slot}`));
    await page.waitForLoadState();
  }
}

async function orderWithoutQuote({ browser, base }) {
  const page = await open(browser);
  await page.goto(`${base}/plan?board=plover-1s2&processors=ddr4-2ch-2666&least=32+GB&most=32+GB`);
  await page.getByRole("link", { name: "Order it without a quote" }).click();
  await page.getByLabel("Customer").fill("Creek");
  await page.getByLabel("Wanted by").fill("2030-13-01");
  await page.getByRole("button", { name: "Write it down" }).click();
  assert.match(await page.locator("#f-due-wrong").textContent(), /no day/);
  assert.equal(await page.getByLabel("Customer").inputValue(), "Creek");
  await page.getByLabel("Wanted by").fill("");
  await page.getByRole("button", { name: "Write it down" }).click();
  await page.getByRole("heading", { name: /^Order O-/ }).waitFor();
  await page.getByRole("link", { name: "Plan it from the shelf" }).click();
  await page.getByRole("button", { name: "Choose plan 1" }).click();
  await page.getByRole("button", { name: "Reserve them" }).waitFor();
  await page.getByText("Cancel this order").click();
  await page.getByLabel("Reason").fill("bought elsewhere");
  await page.getByRole("button", { name: "Cancel the order" }).click();
  assert.match(await page.getByRole("status").first().textContent(), /cancelled/);
  assert.deepEqual(page.said, []);
  await page.context().close();
}

async function allocation({ browser, base }) {
  const page = await open(browser);
  await page.goto(`${base}/allocate`);
  await page.getByRole("button", { name: "Work it out again" }).click();
  await page.getByRole("heading", { name: /proposed/ }).waitFor();
  await page.getByRole("button", { name: "Accept the ticked orders" }).click();
  assert.match(await page.getByRole("alert").first().textContent(), /no order is ticked/i);
  await page.getByLabel("Order or customer").fill("heron");
  await page.getByRole("button", { name: "Show these" }).click();
  await page.getByText("1 order found.").waitFor();
  await page.getByLabel("Take O-00001").check();
  await page.getByRole("button", { name: "Accept the ticked orders" }).click();
  await page.getByText("Accepted: 1 orders").waitFor();
  await page.getByRole("link", { name: "O-00001" }).click();
  assert.equal(await page.locator(".stages [aria-current]").textContent(), "reserved");
  assert.deepEqual(page.said, []);
  await page.context().close();
}

export const tests = {
  "the shop's way by mouse": (world) => way(world),
  "the shop's way with script off": (world) => way(world, { javaScriptEnabled: false }),
  "an order without a quote, cancelled again": orderWithoutQuote,
  "a proposal is accepted order by order": allocation,
};
