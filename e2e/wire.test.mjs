// What no browser sends: foreign hosts and origins, bodies too large or of the wrong type, slow and vanishing clients,
// broken requests, and hostile words in every field of every form. After each the server still answers.
import assert from "node:assert/strict";
import net from "node:net";
import { setTimeout as sleep } from "node:timers/promises";
import { PAGES } from "./pages.mjs";

const MIB = 1 << 20;

// Sends `pieces` over one connection and gives what comes back until it is closed, or until a whole answer is there.
function raw(base, pieces, { patience = 60_000, pause = 0 } = {}) {
  const { hostname, port } = new URL(base);
  return new Promise((resolve, reject) => {
    const socket = net.connect(Number(port), hostname);
    socket.setMaxListeners(0);
    let said = "";
    const tired = setTimeout(() => { socket.destroy(); reject(new Error(`no end after ${patience} ms: ${said.slice(0, 200)}`)); }, patience);
    const end = () => { clearTimeout(tired); socket.destroy(); resolve({ status: Number(said.split(" ")[1]) || 0, said }); };
    socket.on("data", (bytes) => {
      said += bytes.toString("latin1");
      const [head, body] = said.split("\r\n\r\n", 2);
      const length = /content-length: (\d+)/i.exec(head)?.[1];
      if (body !== undefined && length !== undefined && said.length >= head.length + 4 + Number(length)) end();
    });
    socket.on("close", end);
    // What is written to a connection that the server closed is lost, and its answer may be too.
    socket.on("error", () => {});
    (async () => {
      for (const piece of pieces) {
        if (socket.destroyed) return;
        if (!socket.write(piece)) await new Promise((drained) => { socket.once("drain", drained); socket.once("close", drained); });
        if (pause) await sleep(pause);
      }
    })();
  });
}

function request(base, method, path, headers = {}, body = "") {
  const host = new URL(base).host;
  const all = { host, connection: "close", ...headers };
  if (body) all["content-length"] = Buffer.byteLength(body);
  const lines = Object.entries(all).filter(([, v]) => v !== undefined).map(([k, v]) => `${k}: ${v}\r\n`).join("");
  return `${method} ${path} HTTP/1.1\r\n${lines}\r\n${body}`;
}

async function alive(base) {
  const answer = await fetch(base);
  assert.equal(answer.status, 200);
  await answer.arrayBuffer();
}

const FORM = { "content-type": "application/x-www-form-urlencoded" };

async function doors({ base }) {
  const ask = async (...what) => (await raw(base, [request(base, ...what)])).status;
  assert.equal(await ask("GET", "/need"), 200);
  for (const host of ["elsewhere.example", "127.0.0.1", `localhost.elsewhere.example:${new URL(base).port}`, "", undefined]) {
    assert.ok([400, 403].includes(await ask("GET", "/need", { host })), `host ${host}`);
  }
  for (const path of ["/need", "/build", "/enter", "/machines", "/read", "/boards/new"]) {
    for (const origin of ["http://elsewhere.example", "null", `http://127.0.0.1:1`, `${base}.elsewhere.example`, undefined]) {
      assert.equal(await ask("POST", path, { ...FORM, origin }, "a=b"), 403, `${path} from ${origin}`);
    }
    assert.equal(await ask("POST", path, { ...FORM, origin: base, "sec-fetch-site": "cross-site" }, "a=b"), 403, path);
    assert.notEqual(await ask("POST", path, { ...FORM, origin: base }, "a=b"), 403, `${path} from its own page`);
  }
  for (const method of ["PUT", "DELETE", "PATCH", "TRACE"]) {
    assert.ok([403, 405].includes(await ask(method, "/need", { origin: base })), method);
  }
}

async function headers({ base }) {
  for (const path of [...Object.values(PAGES), "/style.css", "/script.js", "/nowhere", "/sheet/bench"]) {
    const answer = await fetch(base + path, { redirect: "manual" });
    const policy = answer.headers.get("content-security-policy") ?? "";
    for (const part of ["default-src 'none'", "script-src 'self'", "style-src 'self'", "form-action 'self'", "frame-ancestors 'none'"]) {
      assert.ok(policy.includes(part), `${path}: ${part}`);
    }
    assert.ok(!policy.includes("unsafe"), path);
    assert.equal(answer.headers.get("x-content-type-options"), "nosniff", path);
    assert.ok(answer.status < 500, `${path}: ${answer.status}`);
    const text = await answer.text();
    if (!/html/.test(answer.headers.get("content-type"))) continue;
    assert.ok(!/<style|<script(?![^>]*\bsrc=)| style=| on[a-z]+=/.test(text), `${path} holds a script or style of its own`);
  }
}

async function bodies({ base }) {
  const own = { origin: base };
  const status = async (pieces) => (await raw(base, pieces)).status;
  for (const type of ["application/json", "text/plain", "application/octet-stream", undefined]) {
    assert.equal(await status([request(base, "POST", "/read", { ...own, "content-type": type }, "{}")]), 415, String(type));
  }
  // A length that is only announced is refused before anything is sent.
  const announced = request(base, "POST", "/read", { ...own, ...FORM, "content-length": String(17 * MIB) });
  assert.equal(await status([announced]), 413);
  const mib = Buffer.alloc(MIB, "a");
  function* chunked(count) {
    for (let at = 0; at < count; at += 1) yield Buffer.concat([Buffer.from(`${MIB.toString(16)}\r\n`), mib, Buffer.from("\r\n")]);
    yield "0\r\n\r\n";
  }
  const streamed = (type) => request(base, "POST", "/read", { ...own, "content-type": type, "transfer-encoding": "chunked" });
  // The answer may be lost with the connection that the server closes on us; what counts is that it does not take it.
  assert.ok([413, 0].includes(await status([streamed(FORM["content-type"]), ...chunked(20)])), "form over the limit");
  const part = `--x\r\ncontent-disposition: form-data; name="file"; filename="a.bin"\r\n\r\n`;
  const first = `${part.length.toString(16)}\r\n${part}\r\n`;
  assert.ok([413, 0].includes(await status([streamed("multipart/form-data; boundary=x"), first, ...chunked(20)])), "file over the limit");
  for (const [type, body] of [
    ["multipart/form-data", "--x--"],
    ["multipart/form-data; boundary=x", "no boundary at all"],
    ["multipart/form-data; boundary=x", "--x\r\ncontent-disposition: form-data; name=\"f\"\r\n\r\nnever ends"],
    ["multipart/form-data; boundary=x", "--x\r\n\r\n\r\n--x--\r\n"],
    [FORM["content-type"], "%%%&=&a=%ff%fe&%00=%00"],
  ]) {
    const answered = await status([request(base, "POST", "/read", { ...own, "content-type": type }, body)]);
    assert.ok(answered >= 200 && answered < 500, `${type} with ${JSON.stringify(body)}: ${answered}`);
  }
  await alive(base);
}

async function broken({ base }) {
  const host = `host: ${new URL(base).host}\r\n`;
  for (const bytes of [
    "soup\r\n\r\n",
    "GET / HTTP/9.9\r\n\r\n",
    `GET /need?${"a".repeat(200_000)} HTTP/1.1\r\n${host}\r\n`,
    `GET / HTTP/1.1\r\n${host}x: ${"a".repeat(200_000)}\r\n\r\n`,
    `GET / HTTP/1.1\r\n${host}${Array.from({ length: 500 }, (_, n) => `x-${n}: 1\r\n`).join("")}\r\n`,
    `POST /read HTTP/1.1\r\n${host}content-length: -1\r\n\r\n`,
    `POST /read HTTP/1.1\r\n${host}content-length: 5\r\ncontent-length: 6\r\n\r\nabcdef`,
    "\u0000\u0001\u0002\r\n\r\n",
  ]) {
    const { status } = await raw(base, [Buffer.from(bytes, "latin1")]);
    assert.ok(status === 0 || (status >= 400 && status < 500), `${JSON.stringify(bytes.slice(0, 40))}: ${status}`);
  }
  for (const path of ["/..%2f..%2fetc%2fpasswd", "/boards/..%2f..%2fsecret", "/%00", "/%ff%fe", "/rules/%2e%2e", "//", "/need?%00=%ff&=&&&a"]) {
    const answer = await fetch(base + path, { redirect: "manual" });
    assert.ok(answer.status < 500, `${path}: ${answer.status}`);
  }
  await alive(base);
}

// Heads and bodies that arrive byte by byte are given up; others are answered meanwhile.
async function slow({ base }) {
  const dribble = (head, byte) => raw(base, [head, ...Array(1000).fill(byte)], { pause: 200, patience: 120_000 });
  const heads = Array.from({ length: 20 }, () => dribble("GET /need HTTP/1.1\r\nx: ", "a"));
  const start = request(base, "POST", "/read", { origin: base, ...FORM, "content-length": "100000" });
  const bodies = Array.from({ length: 20 }, () => dribble(start, "a"));
  for (let at = 0; at < 10; at += 1) {
    await alive(base);
    await sleep(100);
  }
  for (const { status } of await Promise.all(heads)) assert.ok([0, 408].includes(status), `head: ${status}`);
  for (const { status } of await Promise.all(bodies)) assert.ok([0, 408].includes(status), `body: ${status}`);
  await alive(base);
}

async function vanishing({ base }) {
  const { hostname, port } = new URL(base);
  const asks = [
    "GE",
    request(base, "GET", PAGES.plans),
    request(base, "GET", PAGES["build-large"]),
    request(base, "POST", "/read", { origin: base, ...FORM, "content-length": "1000" }, ""),
  ];
  for (let at = 0; at < 200; at += 1) {
    await new Promise((gone) => {
      const socket = net.connect(Number(port), hostname, () => socket.write(asks[at % asks.length], () => socket.resetAndDestroy()));
      socket.on("close", gone).on("error", () => {});
    });
  }
  await alive(base);
}

const NASTY = [
  `"'><script>alert(1)</script>`,
  "</textarea></select></title></svg><img src=x onerror=alert(2)>",
  "javascript:alert(3)",
  "\u202e\u0000\u001b]0;x\u0007\ufffe",
  "记".repeat(3000),
  "99999999999999999999999999 GiB",
  "-1",
  "../../../etc/passwd",
];

// Every field that a page's forms have, one by one, holds something hostile.
async function fields({ base }) {
  let asked = 0;
  for (const name of ["need-filled", "build", "sheets", "boards", "modules", "rules", "read", "compare", "board-edit"]) {
    const page = await fetch(base + PAGES[name]);
    const text = await page.text();
    if (page.status !== 200) continue;
    const [path, query] = PAGES[name].split("?");
    const names = new Set([...text.matchAll(/<(?:input|select|textarea)[^>]*? name="([^"]*)"/g)].map((m) => m[1]));
    const targets = new Set([path, ...[...text.matchAll(/(?:form)?action="(\/[^"?#]*)/g)].map((m) => m[1])]);
    for (const field of [...names].slice(0, 60)) {
      for (const target of targets) {
        const words = NASTY[asked % NASTY.length];
        const params = new URLSearchParams(query);
        params.set(field, words);
        const answer = await fetch(`${base}${target}?${params}`, { redirect: "manual" });
        asked += 1;
        assert.ok(answer.status < 500, `${target} with ${field}=${words.slice(0, 30)}: ${answer.status}`);
        assert.ok(!answer.headers.get("location")?.startsWith("http"), `${target} leads elsewhere`);
        if (!/html/.test(answer.headers.get("content-type") ?? "")) continue;
        const html = await answer.text();
        for (const bad of ["<script>alert", "<img src=x", `href="javascript:`, "\u202e", "\u001b", "\u0000"]) {
          assert.ok(!html.includes(bad), `${target} with ${field}: ${JSON.stringify(bad)} came through`);
        }
      }
    }
  }
  assert.ok(asked > 50, `${asked} were asked`);
}

export const tests = {
  "foreign hosts, origins and methods are refused": doors,
  "every answer has its policy and holds no script or style of its own": headers,
  "bodies too large, of the wrong type or broken are refused": bodies,
  "broken requests are refused": broken,
  "slow clients are given up, and others are answered meanwhile": slow,
  "clients that vanish leave no trace": vanishing,
  "hostile words in every field stay words": fields,
};
