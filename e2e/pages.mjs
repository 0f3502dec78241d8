// The site's pages, by name, and what every page must hold.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";

const AXE = readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8");

const NEED =
  "board=dunlin-2s6&processors=ddr4-6ch-2933&processors=ddr4-6ch-2933&firmware=2.14&about=750+GB&budget=2500+EUR" +
  "&kinds=RDIMM&capacities=32+GiB&capacities=64+GiB&rates=2666&rates=2933";
const BUILD =
  "board=plover-1s2&processors=ddr4-2ch-2666&s.main-1-outer=16GB+2Rx8+PC4-2666V-U&s.main-2-inner=8GB+1Rx8+PC4-2400T-U";

export const PAGES = {
  start: "/",
  need: "/need",
  "need-filled": `/need?${NEED}`,
  "need-faulty": `/plans?${NEED}&machines=many&most=1+apple`,
  plans: `/plans?${NEED}`,
  front: `/plans?${NEED}&all=1&sort=price`,
  conflict: `/plans?${NEED.replace("2500", "12")}`,
  plan: `/plan?${NEED}&pick=2`,
  "side-by-side": `/side-by-side?${NEED}&plan=1&plan=2&plan=3`,
  "build-choose": "/build",
  build: `/build?${BUILD}`,
  "build-large": "/build?board=godwit-2s12&into=first&fill=ddr5-rdimm-64-2rx4-4800",
  "build-faulty": `/build?${BUILD}&s.main-1-inner=soup`,
  "sheets-none": "/sheets",
  sheets: `/sheets?${NEED}&pick=2&number=Q-7&customer=Heronry`,
  quote: `/sheet/quote?${NEED}&pick=2`,
  "pick-list": `/sheet/pick-list?${NEED}&pick=2`,
  bench: `/sheet/bench?${NEED}&pick=2`,
  record: `/sheet/record?${NEED}&pick=2`,
  stickers: `/sheet/stickers?${NEED}&pick=2`,
  compare: `/compare?${BUILD}`,
  "diagnose-ask": `/diagnose?${BUILD}`,
  diagnose: `/diagnose?${BUILD}&symptom=missing-module&at=main-1-outer`,
  "diagnose-faulty": `/diagnose?${BUILD}&symptom=soup`,
  boards: "/boards",
  board: "/boards/dunlin-2s6?count=4",
  "board-new": "/boards/new",
  "board-edit": "/boards/plover-1s2/edit",
  "board-draft": "/boards/draft",
  modules: "/modules?kind=RDIMM",
  rules: "/rules",
  rule: "/rules/mixed-device-widths",
  machines: "/machines",
  machine: "/machine/1",
  "board-variant": "/boards/whimbrel-2s8-ddr5-quiet/edit",
  read: "/read",
  stock: "/stock",
  "stock-items": "/stock?view=items&words=64GB",
  "stock-none": "/stock?words=soup",
  "stock-item": "/stock/item/1",
  "stock-intake": "/stock/intake",
  suppliers: "/suppliers",
  "suppliers-all": "/suppliers?all=yes&by=batch",
  orders: "/orders",
  "orders-all": "/orders?stage=all&words=o-",
  "orders-none": "/orders?words=soup",
  "order-new-none": "/orders/new",
  "order-new": `/orders/new?${NEED}`,
  "order-asked": "/order/1",
  "order-chosen": "/order/2",
  "order-chosen-plans": "/order/2?plans=1",
  "order-reserved": "/order/3",
  "order-picked": "/order/4",
  "order-verified": "/order/5",
  "order-nothing-fits": "/order/6",
  "order-missing": "/order/999",
  "order-papers": "/sheets?order=O-00003",
  "order-pick-list": "/sheet/pick-list?order=O-00003",
  "order-record": "/sheet/record?order=O-00003",
  quotes: "/quotes",
  "quotes-prices": "/quotes/prices",
  "quotes-none": "/quotes?words=soup",
  "quote-new-none": "/quotes/new",
  "quote-new": `/quotes/new?${NEED}&pick=2`,
  "quote-new-front": `/quotes/new?${NEED}&pick=9&all=1`,
  "quote-revise": "/quotes/new?revise=Q-00001",
  "quote-open": "/quote/1",
  "quote-versions": "/quote/2",
  "quote-superseded": "/quote/2?version=1",
  "quote-withdrawn": "/quote/3",
  allocate: "/allocate",
  "allocate-found": "/allocate?words=estuary",
  "allocate-none": "/allocate?words=soup",
  missing: "/nowhere",
};

// A page of the browser that keeps what its console says.
export async function open(browser, options = {}) {
  const context = await browser.newContext({ viewport: { width: 1440, height: 900 }, ...options });
  const page = await context.newPage();
  page.said = [];
  page.on("console", (message) => {
    // Pages that answer 404 or 422 on purpose are logged as failed loads.
    const expected = /the server responded with a status of (404|422)/.test(message.text());
    if (["error", "warning"].includes(message.type()) && !expected) page.said.push(message.text());
  });
  page.on("pageerror", (error) => page.said.push(String(error)));
  return page;
}

// Nothing that axe-core finds, in words that say where.
export async function accessible(page, name) {
  // Through the debugger, so that the page's own policy on scripts stays as strict as it is.
  await page.evaluate(AXE);
  const found = await page.evaluate(() => globalThis.axe.run(document, { resultTypes: ["violations"] }));
  const words = found.violations.map((v) => `${v.id}: ${v.help}\n${v.nodes.slice(0, 4).map((n) => `    ${n.html.slice(0, 160)} (${n.failureSummary?.split("\n")[1]?.trim()})`).join("\n")}`);
  assert.equal(words.length, 0, `${name}:\n${words.join("\n")}`);
}
