// Measures the pages of an invented shop of 200,000 modules, 2,000 orders and 400 quotes: what is looked for, by pages of `serve`,
// beside a page of the same framework that only prints its size.
//
//   cargo build --release -p slotwright && node bench/search.mjs FILE|postgres://… [MODULES [ORDERS]]
//
// FILE or the database is filled first where it is empty, which takes minutes. Times include HTTP on loopback. SLOTWRIGHT names
// another program. Prints figures and judges nothing: times depend on the machine.
import { execFileSync, spawn } from "node:child_process";
import http from "node:http";
import { cpus, loadavg } from "node:os";
import { performance } from "node:perf_hooks";

const program = process.env.SLOTWRIGHT ?? new URL("../target/release/slotwright", import.meta.url).pathname;
const [store, modules = "200000", ordered = "2000"] = process.argv.slice(2);
const ROUNDS = 41;
const agent = new http.Agent({ keepAlive: true });

function ask(base, path) {
  const start = performance.now();
  return new Promise((resolve, reject) => {
    http.get(base + path, { agent }, (answer) => {
      const pieces = [];
      answer.on("data", (piece) => pieces.push(piece));
      answer.on("end", () => resolve({ status: answer.statusCode, took: performance.now() - start, body: Buffer.concat(pieces) }));
    }).on("error", reject);
  });
}

const run = (...words) => execFileSync(program, ["--store", store, ...words], { encoding: "utf8", maxBuffer: 1 << 30 });

const known = JSON.parse(run("stock", "list", "--items", "--most", "1", "--json")).items[0];
if (!known) {
  const start = performance.now();
  process.stdout.write(run("store", "invent", "--modules", modules, "--orders", ordered, "--date", "2026-11-25"));
  console.log(`filled in ${((performance.now() - start) / 1000).toFixed(1)} s`);
}
// Exit code 1 means that something is left to do, such as orders that go without.
const found = (...words) => {
  try {
    return run(...words);
  } catch (failed) {
    if (failed.status === 1) return failed.stdout;
    if (failed.status === 2) return undefined;
    throw failed;
  }
};
// A proposal over all that wait, for the page of the allocation, takes long: only where PROPOSE is set.
if (process.env.PROPOSE && !found("allocate", "show", "--json")) {
  const start = performance.now();
  found("allocate", "propose", "--json");
  console.log(`proposed in ${((performance.now() - start) / 1000).toFixed(1)} s`);
}
const orders = JSON.parse(run("order", "list", "--all", "--most", "1000", "--json")).orders;
const quotes = JSON.parse(run("quote", "list", "--most", "1000", "--json")).quotes;
const nth = (list, at) => list[(at * 37) % list.length].number;
// Items from all over the store, so that no search asks for what was looked at last.
const spread = [];
for (let skip = 0; skip < 100_000; skip += 100_000 / ROUNDS) {
  const view = JSON.parse(run("stock", "list", "--items", "--most", "1", "--skip", String(Math.floor(skip)), "--json"));
  if (view.items[0]) spread.push(view.items[0]);
}
const of = (at) => spread[at % spread.length];
const serial = (at) => of(at).serial ?? of(at + 1).serial ?? spread.find((i) => i.serial).serial;
const words = ["64GB", "2933", "ddr5 32GB", "sedge 2Rx4", "used", "rush 3200 64GB", "lrdimm"];
const SEARCHES = {
  "the shelf, nothing looked for": () => "/stock",
  "the shelf, by words": (at) => `/stock?words=${encodeURIComponent(words[at % words.length])}`,
  "the shelf, by bin": (at) => `/stock?words=${"ABCDEFGH"[at % 8]}${1 + (at % 24)}`,
  "items, newest first": () => "/stock?view=items",
  "items, by words": (at) => `/stock?view=items&words=${encodeURIComponent(words[at % words.length])}`,
  "items, by a whole serial": (at) => `/stock?view=items&words=${serial(at)}`,
  "items, by a serial's end": (at) => `/stock?view=items&words=${serial(at).slice(-4)}`,
  "items, nothing found": (at) => `/stock?view=items&words=NONE${at}`,
  "one item": (at) => `/stock/item/${of(at).item}`,
  "orders that are open": () => "/orders",
  "orders, by customer": (at) => `/orders?words=${encodeURIComponent(orders[(at * 37) % orders.length].customer.split(" ")[0])}`,
  "orders, all of them": (at) => `/orders?stage=all&skip=${50 * (at % 20)}`,
  "one order": (at) => `/order/${nth(orders, at)}`,
  "quotes": () => "/quotes",
  "quotes, by customer": (at) => `/quotes?words=${encodeURIComponent(quotes[(at * 37) % quotes.length].customer.split(" ")[0])}`,
  "one quote": (at) => `/quote/${nth(quotes, at)}`,
  "the allocation": () => "/allocate",
  "suppliers": () => "/suppliers",
  "suppliers, by batch": () => "/suppliers?by=batch",
  "suppliers, by model": () => "/suppliers?by=model",
};

const child = spawn(program, ["serve", "--store", store, "--listen", "127.0.0.1:0", "--reference"], { stdio: ["ignore", "pipe", "inherit"] });
try {
  const base = await new Promise((resolve, reject) => {
    let said = "";
    child.stdout.on("data", (bytes) => {
      said += bytes;
      const found = /listening on (http:\S+)/.exec(said);
      if (found) resolve(found[1]);
    });
    child.on("exit", (code) => reject(new Error(`the server ended with ${code}: ${said}`)));
  });
  console.log(`${cpus().length} cores, ${cpus()[0]?.model ?? "unknown"}, load ${loadavg()[0].toFixed(1)}; client and server on the same machine`);
  console.log(`${"page".padEnd(32)} ${"median".padStart(9)} ${"p90".padStart(9)} ${"most".padStart(9)} ${"bytes".padStart(8)}  times the reference page`);
  for (const [name, path] of Object.entries(SEARCHES)) {
    const times = [];
    let bytes = 0;
    for (let at = 0; at < ROUNDS; at += 1) {
      const answer = await ask(base, path(at));
      if (answer.status !== 200) throw new Error(`${path(at)}: ${answer.status}`);
      times.push(answer.took);
      bytes = answer.body.length;
    }
    const reference = [];
    for (let at = 0; at < ROUNDS; at += 1) reference.push((await ask(base, `/reference?size=${bytes}`)).took);
    const sorted = (list) => [...list].sort((a, b) => a - b);
    const [all, plain] = [sorted(times), sorted(reference)];
    const [median, p90] = [all[Math.floor(ROUNDS / 2)], all[Math.floor(ROUNDS * 0.9)]];
    const ms = (value) => `${value.toFixed(1)} ms`.padStart(9);
    const ratio = median / plain[Math.floor(ROUNDS / 2)];
    console.log(`${name.padEnd(32)} ${ms(median)} ${ms(p90)} ${ms(all.at(-1))} ${String(bytes).padStart(8)}  ${ratio.toFixed(1)}`);
  }
} finally {
  child.kill("SIGTERM");
}
