// Browser tests: starts the server, runs every *.test.mjs with it, and stops it. `node run.mjs [WORDS]` runs those whose
// name holds the words. SLOTWRIGHT is the program; SHOTS, where set, is a folder for pictures of every page.
import { execFileSync, spawn } from "node:child_process";
import { mkdirSync, mkdtempSync, readdirSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { chromium } from "playwright-core";

const program = process.env.SLOTWRIGHT ?? "../target/debug/slotwright";
const words = process.argv[2] ?? "";
const folder = mkdtempSync(join(tmpdir(), "slotwright-e2e-"));

const store = join(folder, "shop.db");

function serve() {
  const child = spawn(program, ["serve", "--listen", "127.0.0.1:0", "--data", folder, "--store", store, "--shop", "../examples/shop.toml"], {
    cwd: import.meta.dirname,
    stdio: ["ignore", "pipe", "inherit"],
  });
  const address = new Promise((resolve, reject) => {
    let said = "";
    child.stdout.on("data", (bytes) => {
      said += bytes;
      const found = said.match(/listening on (http:\S+)/);
      if (found) resolve(found[1]);
    });
    child.on("exit", (code) => reject(new Error(`the server ended with ${code}: ${said}`)));
  });
  return { child, address };
}

// Small modules with serials, orders at every stage of the bench, and quotes.
function stockTheShop() {
  const shop = (...words) => execFileSync(program, ["--store", store, ...words], { cwd: folder });
  const rows = Array.from({ length: 12 }, (_, at) => `16GB 2Rx8 PC4-2666V-E,U0${String(at).padStart(2, "0")},B${at % 3},31 EUR`);
  writeFileSync(join(folder, "small.csv"), `label,serial,bin,cost\n${rows.join("\n")}\n`);
  writeFileSync(join(folder, "need.toml"), 'board = "plover-1s2"\nprocessors = ["ddr4-2ch-2666"]\ncapacity = { least = "32 GiB", most = "32 GiB" }\n');
  shop("stock", "intake", "small.csv");
  for (const customer of ["Heronry", "Marsh & Sons", "Tideway", "Saltings", "Reedbed"]) shop("order", "new", "need.toml", "--customer", customer);
  for (const order of ["2", "3", "4", "5"]) shop("order", "choose", order);
  for (const order of ["3", "4", "5"]) shop("order", "reserve", order);
  for (const order of ["4", "5"]) shop("order", "pick", order, "--all");
  for (const stage of ["built", "verified"]) shop("order", "step", "5", stage);
  shop("quote", "new", "need.toml", "--customer", "Heronry", "--from-stock");
  shop("quote", "new", "need.toml", "--customer", "Marsh & Sons");
  shop("quote", "revise", "2", "--valid-days", "30");
  shop("quote", "new", "need.toml", "--customer", "Tideway");
  shop("quote", "withdraw", "3", "--why", "another machine");
  writeFileSync(join(folder, "large.toml"), 'board = "godwit-2s12"\nprocessors = ["ddr5-12ch-4800", "ddr5-12ch-4800"]\ncapacity = { least = "768 GiB" }\n');
  shop("order", "new", "large.toml", "--customer", "Estuary", "--priority", "2", "--due", "2099-01-31");
  try { shop("allocate", "propose"); } catch (served) { if (served.status !== 1) throw served; }
}

const SWITCHES = ["--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking", "--disable-component-update", "--disable-sync"];
// As root, which CI machines are, Chromium runs only without its sandbox; the pages are our own.
if (process.getuid?.() === 0) SWITCHES.push("--no-sandbox");

let failed = 0;
let ran = 0;
mkdirSync(join(folder, "boards"));
writeFileSync(join(folder, "sources.toml"), "format = 1\n");
for (const words of [["--serial", "4A5B6C01", "--bin", "A3"], ["--count", "24"]]) {
  const add = ["--store", store, "stock", "add", "64GB 2Rx4 PC4-2933Y-RB2-12", "--cost", "88 EUR", ...words];
  execFileSync(program, add, { cwd: import.meta.dirname });
}
const list = join(folder, "delivery.csv");
writeFileSync(list, "label,serial,cost,supplier,batch\n32GB 2Rx4 PC4-2933Y-R,4A5B6C09,42 EUR,Mill-Lane,2026-0412\n");
execFileSync(program, ["--store", store, "stock", "intake", list], { stdio: "ignore" });
execFileSync(program, ["--store", store, "stock", "fail", "4A5B6C09", "--why", "errors in two slots", "--record", list]);
stockTheShop();
const { child, address } = serve();
try {
  const base = await address;
  const browser = await chromium.launch({ executablePath: process.env.CHROMIUM ?? "/usr/bin/chromium", args: SWITCHES });
  // The API's calls accept and pick what the pages' tests look for, so they go last.
  const last = (file) => (file === "api.test.mjs" ? 1 : 0);
  const files = readdirSync(import.meta.dirname).filter((f) => f.endsWith(".test.mjs"));
  for (const file of files.sort((a, b) => last(a) - last(b) || (a < b ? -1 : 1))) {
    const { tests } = await import(`./${file}`);
    for (const [name, test] of Object.entries(tests)) {
      if (!`${file} ${name}`.includes(words)) continue;
      ran += 1;
      const start = Date.now();
      try {
        await test({ browser, base, program, store, data: folder, shots: process.env.SHOTS });
        console.log(`ok    ${String(Date.now() - start).padStart(6)} ms  ${name}`);
      } catch (error) {
        failed += 1;
        console.log(`FAIL  ${String(Date.now() - start).padStart(6)} ms  ${name}\n${error.stack ?? error}`);
      }
    }
  }
  await browser.close();
} finally {
  child.removeAllListeners("exit");
  child.kill("SIGTERM");
  rmSync(folder, { recursive: true, force: true });
}
console.log(`${ran - failed} passed, ${failed} failed`);
process.exit(failed > 0 || ran === 0 ? 1 : 0);
