// Measures the web bench under load, on loopback: the plan page of the largest demo board, check pages at 200 requests a
// second, and the server's memory; each beside a page of the same framework that only prints its size.
//
//   cargo build --release -p slotwright && node bench/serve-load.mjs [SECONDS]
//
// Takes about a minute with the default of 15 seconds a rate. SLOTWRIGHT names another program, RATE another rate. Prints
// figures and judges nothing: times depend on the machine.
import { spawn } from "node:child_process";
import { readFileSync } from "node:fs";
import http from "node:http";
import { cpus } from "node:os";
import { performance } from "node:perf_hooks";
import { setTimeout as sleep } from "node:timers/promises";

const program = process.env.SLOTWRIGHT ?? new URL("../target/release/slotwright", import.meta.url).pathname;
const seconds = Number(process.argv[2] ?? 15);
const rate = Number(process.env.RATE ?? 200);

// The largest demo board, 2 sockets of 12 channels with 2 slots each.
const NEED =
  "board=godwit-2s12&processors=ddr5-12ch-4800&processors=ddr5-12ch-4800&least=1500+GiB&budget=30000+EUR&kinds=RDIMM" +
  "&capacities=32+GiB&capacities=64+GiB&capacities=96+GiB";
const CHECKS = [
  "/build?board=plover-1s2&processors=ddr4-2ch-2666&s.main-1-outer=16GB+2Rx8+PC4-2666V-U&s.main-2-inner=8GB+1Rx8+PC4-2400T-U",
  "/build?board=dunlin-2s6&processors=ddr4-6ch-2933&processors=ddr4-6ch-2933&into=first&fill=ddr4-rdimm-32-2rx4-2933",
  "/build?board=godwit-2s12&into=first&fill=ddr5-rdimm-64-2rx4-4800",
];

const agent = new http.Agent({ keepAlive: true, maxSockets: 64 });

function ask(base, path) {
  const start = performance.now();
  return new Promise((resolve, reject) => {
    const request = http.get(base + path, { agent }, (answer) => {
      const pieces = [];
      answer.on("data", (piece) => pieces.push(piece));
      answer.on("end", () => resolve({ status: answer.statusCode, took: performance.now() - start, body: Buffer.concat(pieces) }));
      answer.on("error", reject);
    });
    request.on("error", reject);
  });
}

const share = (sorted, part) => sorted[Math.min(sorted.length - 1, Math.ceil(sorted.length * part) - 1)];
const ms = (value) => `${value.toFixed(1)} ms`;

function shown(name, times) {
  const sorted = [...times].sort((a, b) => a - b);
  const [p50, p99] = [share(sorted, 0.5), share(sorted, 0.99)];
  console.log(`  ${name.padEnd(34)} p50 ${ms(p50).padStart(9)}   p99 ${ms(p99).padStart(9)}   most ${ms(sorted.at(-1)).padStart(9)}   ${sorted.length} requests`);
  return { p50, p99 };
}

async function inTurn(base, path, count) {
  const times = [];
  for (let at = 0; at < count; at += 1) times.push((await ask(base, path)).took);
  return times;
}

// Requests leave on time whether or not the last ones are answered; a wait in line counts from when it was due.
async function atRate(base, paths) {
  const start = performance.now();
  const under = [];
  for (let at = 0; at < rate * seconds; at += 1) {
    const due = start + (at * 1000) / rate;
    const wait = due - performance.now();
    if (wait > 1) await sleep(wait);
    under.push(ask(base, paths[at % paths.length]).then((answer) => {
      if (answer.status !== 200) throw new Error(`${paths[at % paths.length]}: ${answer.status}`);
      return performance.now() - due;
    }));
  }
  return Promise.all(under);
}

async function plans(base) {
  const path = `/plans?${NEED}`;
  const first = await ask(base, path);
  const stated = /Searched in [\d.,]+ m?s/.exec(first.body)?.[0] ?? "nothing of it";
  console.log(`\nplan page of the largest demo board, ${first.body.length} bytes, status ${first.status}`);
  console.log(`  first request, with the search      ${ms(first.took)}; the page says: ${stated.trim()}`);
  const own = shown("further requests, one by one", await inTurn(base, path, 40));
  const reference = shown("reference page of that size", await inTurn(base, `/reference?size=${first.body.length}`, 40));
  console.log(`  ratio at the median                ${(own.p50 / reference.p50).toFixed(1)}`);
}

async function checks(base) {
  const sizes = [];
  for (const path of CHECKS) {
    const answer = await ask(base, path);
    sizes.push(answer.body.length);
    if (answer.status !== 200) throw new Error(`${path}: ${answer.status}`);
  }
  console.log(`\ncheck pages of ${CHECKS.length} boards, ${sizes.join(", ")} bytes, ${rate} requests a second for ${seconds} s`);
  const own = shown("check pages", await atRate(base, CHECKS));
  const reference = shown("reference pages of those sizes", await atRate(base, sizes.map((size) => `/reference?size=${size}`)));
  console.log(`  ratio                              p50 ${(own.p50 / reference.p50).toFixed(1)}, p99 ${(own.p99 / reference.p99).toFixed(1)}`);
}

const child = spawn(program, ["serve", "--listen", "127.0.0.1:0", "--reference"], { stdio: ["ignore", "pipe", "inherit"] });
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
  console.log(`${cpus().length} cores, ${cpus()[0]?.model ?? "unknown"}; client and server on the same machine`);
  await plans(base);
  await checks(base);
  const memory = /VmHWM:\s+(\d+) kB/.exec(readFileSync(`/proc/${child.pid}/status`, "utf8"));
  console.log(`\nmost memory of the server            ${(Number(memory?.[1]) / 1024).toFixed(0)} MiB (VmHWM)`);
} finally {
  child.kill("SIGTERM");
}
