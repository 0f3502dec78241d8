// The shop's API against its own document: the document against OpenAPI 3.1, and every answer against the schema that the
// document declares for it.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { Validator } from "@seriousme/openapi-schema-validator";
import Ajv from "ajv/dist/2020.js";
import formats from "ajv-formats";

const LABEL = "32GB 2Rx4 PC4-2933Y-RB2";
const NEED = `board = "dunlin-2s6"
processors = ["ddr4-6ch-2933", "ddr4-6ch-2933"]
firmware = "2.14"
capacity = { least = "384 GiB", most = "400 GiB" }
modules = { kinds = ["RDIMM"], capacities = ["32 GiB"], rates = [2933] }
`;

// Calls by the names of the document; each answer is held against what is declared for its status.
async function caller({ base, program, store }) {
  const document = await (await fetch(`${base}/api/v1/openapi.json`)).json();
  const ajv = new Ajv({ strict: false, allErrors: true });
  formats(ajv);
  // Sizes of numbers that JSON itself has no word for.
  for (const name of ["uint", "uint8", "uint16", "uint32", "uint64"]) ajv.addFormat(name, { type: "number", validate: (n) => Number.isInteger(n) && n >= 0 });
  ajv.addSchema(document, "document");
  const operations = new Map();
  for (const [path, ways] of Object.entries(document.paths)) {
    for (const [method, told] of Object.entries(ways)) operations.set(told.operationId, { path, method, told });
  }
  const scopes = [...new Set([...operations.values()].flatMap((o) => o.told.security.flatMap((s) => s.token)))];
  const name = `e2e ${process.pid} ${Math.random()}`;
  const token = execFileSync(program, ["--store", store, "store", "token", "new", name, "--scope", scopes.join(",")], { cwd: import.meta.dirname, stdio: ["ignore", "pipe", "ignore"] });
  const bearer = { authorization: `Bearer ${String(token).trim()}` };
  const called = new Set();
  const escaped = (part) => encodeURIComponent(part.replaceAll("~", "~0").replaceAll("/", "~1"));
  const call = async (id, status, { part = "", query = "", body } = {}) => {
    const { path, method, told } = operations.get(id);
    const at = base + path.replace(/\{.*?\}/, encodeURIComponent(part)) + query;
    const headers = method === "post" ? { ...bearer, "content-type": "application/json" } : bearer;
    const got = await fetch(at, { method: method.toUpperCase(), headers, body: method === "post" ? JSON.stringify(body ?? {}) : undefined });
    const json = await got.json();
    assert.equal(got.status, status, `${id}: ${JSON.stringify(json)}`);
    const declared = told.responses[status];
    assert.ok(declared, `${id}: ${status} is not declared`);
    const kind = got.headers.get("content-type");
    const where = declared.$ref ?? `#/paths/${escaped(path)}/${method}/responses/${status}`;
    const validate = ajv.getSchema(`document${where}/content/${escaped(kind)}/schema`);
    assert.ok(validate, `${id}: no schema for ${kind}`);
    assert.ok(validate(json), `${id}: ${JSON.stringify(validate.errors)}\n${JSON.stringify(json)}`);
    if (method === "post" && status < 300) {
      const sent = ajv.getSchema(`document#/paths/${escaped(path)}/${method}/requestBody/content/application~1json/schema`);
      assert.ok(sent(body ?? {}), `${id} takes what its schema does not: ${JSON.stringify(sent.errors)}`);
    }
    if (status < 300) called.add(id);
    return json;
  };
  return { call, called, operations, ajv };
}

export const tests = {
  "the document is what OpenAPI 3.1 asks for": async ({ base }) => {
    const document = await (await fetch(`${base}/api/v1/openapi.json`)).json();
    const validator = new Validator();
    const result = await validator.validate(document);
    assert.ok(result.valid, JSON.stringify(result.errors));
    assert.equal(validator.version, "3.1");
    // It can fail.
    document.paths["/api/v1/orders"].get.responses = [];
    assert.equal((await new Validator().validate(document)).valid, false);
  },
  "every answer of the API is what the document declares": async (given) => {
    const { call, called, operations, ajv } = await caller(given);
    assert.equal(ajv.getSchema("document#/components/schemas/OrderView")({ number: 1 }), false, "a schema that takes anything");
    const row = (serial) => ({ label: LABEL, serial, cost: "42.50 EUR", bin: "E1" });
    const took = await call("takeIn", 201, { body: { items: [row("E2E001"), row("E2E002"), { label: LABEL, count: 60, cost: "40 EUR", condition: "used" }] } });
    const [first, second, lot] = took.items.map((i) => String(i.item));
    await call("takeIn", 422, { body: { items: [row("E2E001")] } });
    await call("listModels", 200, { query: "?words=2933&most=5" });
    await call("listItems", 200, { query: "?words=e2e&state=on%20the%20shelf" });
    await call("listItems", 400, { query: "?most=5000" });
    const item = await call("showItem", 200, { part: first });
    await call("moveItem", 200, { part: first, body: { bin: "E2", version: item.version } });
    await call("moveItem", 409, { part: first, body: { bin: "E3", version: item.version } });
    await call("correctItem", 200, { part: first, body: { cost: "41 EUR", why: "misread" } });
    await call("correctItem", 422, { part: first, body: { cost: "41 USD", why: "misread" } });
    await call("markItem", 200, { part: first, body: { state: "held back", why: "a scratch" } });
    await call("showItem", 404, { part: "999999" });
    const order = await call("newOrder", 201, { body: { need: NEED, customer: "Plover", due: "2099-01-01" } });
    await call("newOrder", 422, { body: { need: "soup", customer: "Plover" } });
    const part = order.number;
    await call("listOrders", 200, { query: "?closed=true" });
    await call("planOrder", 200, { part });
    await call("chooseBuild", 422, { part, body: { plan: 99999 } });
    await call("chooseBuild", 200, { part, body: { plan: 1 } });
    await call("reserveModules", 200, { part });
    await call("reserveModules", 409, { part });
    await call("pickModules", 200, { part });
    const { modules } = await call("showOrder", 200, { part });
    const spare = modules.some((m) => String(m.item) === second) ? lot : second;
    await call("swapModule", 200, { part, body: { machine: 1, slot: modules[0].slot, item: spare, faulty: true, why: "errors in the test" } });
    await call("stampStep", 200, { part, body: { stage: "built" } });
    await call("showOrder", 200, { part });
    const other = await call("newOrder", 201, { body: { need: NEED, customer: "Knot" } });
    await call("changeOrder", 200, { part: other.number, body: { priority: 1, due: null, version: other.version } });
    await call("changeOrder", 409, { part: other.number, body: { priority: 2, version: other.version } });
    await call("cancelOrder", 200, { part: other.number, body: { why: "the customer went away" } });
    const quote = { need: NEED, customer: "Curlew", from_stock: true };
    const kept = await call("newQuote", 201, { body: quote });
    const dropped = await call("newQuote", 201, { body: { ...quote, valid_days: 3 } });
    await call("listQuotes", 200, { query: "?state=open" });
    await call("showQuote", 200, { part: kept.number });
    await call("reviseQuote", 201, { part: dropped.number, body: { version: 1 } });
    await call("withdrawQuote", 200, { part: dropped.number, body: { why: "a mistake" } });
    await call("orderQuote", 201, { part: kept.number });
    await call("newOrder", 201, { body: { need: NEED, customer: "Dunlin" } });
    const bought = (serial) => ({ ...row(serial), supplier: "Whimbrel", batch: "E2E" });
    const back = await call("takeIn", 201, { body: { items: [bought("E2E003")] } });
    const bad = String(back.items[0].item);
    const record = { name: "record.txt", content: "ZXJyb3Jz" };
    const failed = await call("reportFailure", 201, { part: bad, body: { reason: "errors", record } });
    await call("reportFailure", 409, { part: bad, body: { reason: "errors" } });
    await call("listFailures", 200);
    await call("sendBack", 201, { body: { failures: [failed.failure], reference: "R-1" } });
    await call("closeFailure", 200, { part: String(failed.failure), body: { to: "credited" } });
    await call("listRates", 200, { query: "?by=batch" });
    const { batches } = await call("listBatches", 200, { query: "?supplier=Whimbrel" });
    await call("setWarranty", 200, { part: String(batches.at(-1).batch), body: { until: "2031-01-31" } });
    for (const [thing, at] of [["Item", bad], ["Order", part]]) {
      await call(`attachTo${thing}`, 201, { part: at, body: { name: "photo.png", content: "iVBORw0KGgpyZXN0" } });
      await call(`list${thing}Attachments`, 200, { part: at });
      await call(`get${thing}Attachment`, 200, { part: at, query: "?named=photo.png" });
    }
    const proposal = await call("propose", 201, { body: { afresh: true } });
    await call("showNewestAllocation", 200);
    await call("showAllocation", 200, { part: String(proposal.number) });
    await call("acceptAllocation", 200, { part: String(proposal.number), body: { orders: [proposal.served[0].order] } });
    await call("acceptAllocation", 404, { part: "999999" });
    const all = [...operations.values()].filter((o) => o.told.security.length > 0).map((o) => o.told.operationId);
    assert.deepEqual(all.filter((id) => !called.has(id)), [], "never called");
  },
};
