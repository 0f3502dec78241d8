// The board editor with script: what is changed on one side shows on the other after a pause, and what one types stays.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { accessible, open } from "./pages.mjs";

const holds = (page, words) => page.waitForFunction((w) => document.querySelector("#f-text").value.includes(w), words);

async function inStep({ browser, base }) {
  const page = await open(browser);
  await page.goto(`${base}/boards/plover-1s2/edit`);
  const text = page.getByLabel("The board file (TOML)");
  await page.locator("#part-limits > summary").click();
  const largest = page.getByLabel("Largest module", { exact: true });
  // Form to text: the value goes to its place, beside its comments; the focus stays where one types.
  await largest.fill("64 GiB");
  await holds(page, 'module = "64 GiB"');
  assert.equal(await page.evaluate(() => document.activeElement.name), "limits.module");
  assert.equal(await largest.inputValue(), "64 GiB");
  // Once more, so that what the form held before is carried on: a second change must not bring back the first.
  await largest.fill("32 GiB");
  await holds(page, 'module = "32 GiB"');
  assert.ok(!(await text.inputValue()).includes("64 GiB"));
  // Text to form.
  const now = await text.inputValue();
  await text.fill(now.replace(/^title = .*$/m, 'title = "Plover of the test"'));
  await page.waitForFunction(() => document.querySelector("[name=title]").value === "Plover of the test");
  await page.waitForFunction(() => document.querySelector("#map").textContent.includes("Plover of the test"));
  assert.equal(await page.evaluate(() => document.activeElement.name), "text");
  // Then the form again: what came from the text stays in it.
  await page.getByLabel("Most in all", { exact: true }).fill("96 GiB");
  await holds(page, 'system = "96 GiB"');
  assert.match(await text.inputValue(), /title = "Plover of the test"/);
  assert.match(await text.inputValue(), /module = "32 GiB"/);
  assert.equal(new URL(page.url()).pathname, "/boards/plover-1s2/edit");
  assert.deepEqual(page.said, []);
  await page.context().close();
}

async function faults({ browser, base }) {
  const page = await open(browser);
  await page.goto(`${base}/boards/plover-1s2/edit`);
  const text = page.getByLabel("The board file (TOML)");
  await page.locator("#part-limits > summary").click();
  await page.getByLabel("Largest module", { exact: true }).fill("64 apples");
  await page.locator("#faults").getByText("apples").first().waitFor();
  assert.equal(await page.getByLabel("Largest module", { exact: true }).inputValue(), "64 apples");
  // Its place leads to the words in the text, and its other link to the field.
  await page.locator("#faults a", { hasText: "line " }).click();
  assert.equal(await text.evaluate((t) => t.value.slice(t.selectionStart, t.selectionEnd)), '"64 apples"');
  await page.locator("#faults a", { hasText: "To its field" }).click();
  assert.equal(await page.evaluate(() => document.activeElement.id), "f-limits.module");
  // The fault stands beside the field that one still types in, and goes from there too.
  assert.match(await page.locator('[id="f-limits.module-wrong"]').textContent(), /apples/);
  assert.equal(await page.getByLabel("Largest module", { exact: true }).getAttribute("aria-invalid"), "true");
  await page.getByLabel("Largest module", { exact: true }).fill("64 GiB");
  await page.locator('[id="f-limits.module-wrong"]').waitFor({ state: "detached" });
  await page.getByLabel("Largest module", { exact: true }).fill("64 apples");
  await page.locator('[id="f-limits.module-wrong"]').waitFor();
  // Text that is no TOML: the form waits, and nothing that was typed is lost on either side.
  const good = (await text.inputValue()).replace("64 apples", "64 GiB");
  await text.fill(`${good}\nmodule = `);
  await page.getByText("the form waits until its fault is mended").waitFor();
  assert.equal(await page.getByLabel("Title", { exact: true }).inputValue(), /title = "(.*)"/.exec(good)[1]);
  await page.getByLabel("Title", { exact: true }).fill("Typed meanwhile");
  await page.waitForTimeout(1200);
  assert.equal(await text.inputValue(), `${good}\nmodule = `, "the text is as it was typed");
  await accessible(page, "a board whose text is no TOML");
  await text.fill(good);
  // What was typed into the form meanwhile goes into the text now, although the cursor is there, which stays at its words.
  await holds(page, 'title = "Typed meanwhile"');
  assert.equal(await page.evaluate(() => document.activeElement.name), "text");
  const typed = await text.inputValue();
  assert.equal(await text.evaluate((t) => t.value.length - t.selectionEnd), 0, "the cursor is still at the end");
  // And it stays there through the next exchange.
  await page.getByLabel("About", { exact: true }).fill("About the test");
  await holds(page, 'about = "About the test"');
  assert.equal(await page.getByLabel("Title", { exact: true }).inputValue(), "Typed meanwhile");
  assert.equal((await text.inputValue()).replace(/^about = .*$/m, ""), typed.replace(/^about = .*$/m, ""));
  assert.equal(await page.getByLabel("Largest module", { exact: true }).inputValue(), "64 GiB");
  assert.deepEqual(page.said, []);
  await page.context().close();
}

const HOSTILE = `"><script>alert(1)</script>'&`;
const SAVED = (name, board) => `${name}-${board}`;

// A small board by the form alone. `press` works a button, `set` a field, `open` a part: with a mouse or with keys.
async function write(page, base, board, { press, set, open: unfold, scripted = true }) {
  await page.goto(`${base}/boards/new?sockets=1&controllers=1&channels=2&slots=2`);
  await set("id", board);
  await set("title", HOSTILE);
  await set("source", "manual, page 4");
  await set("processors", "ddr4-2ch-2666");
  await set("kinds", "UDIMM");
  await unfold("limits");
  await set("limits.module", "16 GiB");
  await unfold("charts");
  await press("add:chart");
  assert.match(await page.locator("#faults").textContent(), /without an order/);
  await unfold("charts");
  await press("add:chart.0.fill");
  const label = await page.locator('[id="f-socket.0.controllers.0"]').inputValue();
  const [first, second] = label.split("\n").map((channel) => channel.split(", ")[0]);
  await set("chart.0.fill.0.slots", first);
  await press("add:chart.0.fill");
  await set("chart.0.fill.1.slots", `${first}, ${second}`);
  await press("add:chart.0.fill");
  await press("cut:chart.0.fill.2");
  await press("look");
  await page.locator("#verdict").getByText("nothing is wrong").waitFor();
  assert.equal(await page.locator("script:not([src])").count(), 0);
  assert.match(await page.locator("#map title").first().textContent(), /script>alert/);
  // axe-core is a script itself; without script the page is the same.
  if (scripted) await accessible(page, `${board}, written`);
  await press("save");
  await page.waitForURL(`${base}/boards/${board}`);
  assert.match(await page.locator("main").textContent(), /script>alert/);
  assert.deepEqual(page.said, []);
  const command = await page.request.post(`${base}/boards/${board}/edit`, { headers: { origin: base }, form: { act: "file", id: board, text: await text(page, base, board) } });
  return command.text();
}

async function text(page, base, board) {
  await page.goto(`${base}/boards/${board}/edit`);
  return page.locator("#f-text").inputValue();
}

// The part of a field: a folded one is opened first.
const part = (page, name) => page.locator(`#part-${name}`);

async function byMouse({ browser, base, program, data }) {
  const page = await open(browser);
  const field = (name) => page.locator(`[name="${name}"]`);
  const hand = {
    press: async (act) => {
      const button = page.locator(`button[value="${act}"]`);
      await button.click();
      await page.waitForLoadState();
    },
    set: (name, value) => field(name).fill(value),
    open: async (name) => { if (!(await part(page, name).getAttribute("open") !== null)) await part(page, name).locator("> summary").click(); },
  };
  const file = await write(page, base, SAVED("wigeon", "mouse"), hand);
  check(program, data, SAVED("wigeon", "mouse"), file);
  await page.context().close();
}

async function byKeys({ browser, base, program, data }) {
  const page = await open(browser);
  // Tab until what is wanted has the focus: nothing is out of reach of the keyboard.
  const reach = async (what) => {
    for (let at = 0; at < 600; at += 1) {
      if (await page.evaluate((w) => document.activeElement?.matches(w), what)) return;
      await page.keyboard.press("Tab");
    }
    assert.fail(`${what} is not reached by the tab key`);
  };
  const keys = {
    press: async (act) => {
      await reach(`button[value="${act}"]`);
      const gone = page.waitForEvent("load");
      await page.keyboard.press("Enter");
      await gone;
    },
    set: async (name, value) => {
      await reach(`[name="${name}"]`);
      await page.keyboard.press("Control+A");
      await page.keyboard.insertText(value);
    },
    open: async (name) => {
      if ((await part(page, name).getAttribute("open")) !== null) return;
      await reach(`#part-${name} > summary`);
      await page.keyboard.press("Enter");
    },
  };
  const file = await write(page, base, SAVED("wigeon", "keys"), keys);
  check(program, data, SAVED("wigeon", "keys"), file);
  await page.context().close();
}

async function withoutScript({ browser, base, program, data }) {
  const page = await open(browser, { javaScriptEnabled: false });
  const hand = {
    press: async (act) => { await page.locator(`button[value="${act}"]`).click(); await page.waitForLoadState(); },
    set: (name, value) => page.locator(`[name="${name}"]`).fill(value),
    open: async (name) => { if ((await part(page, name).getAttribute("open")) === null) await part(page, name).locator("> summary").click(); },
  };
  const file = await write(page, base, SAVED("wigeon", "plain"), { ...hand, scripted: false });
  check(program, data, SAVED("wigeon", "plain"), file);
  await page.context().close();
}

// The file that was saved is the one that the editor shows, and holds what one would write by hand; `check` takes it.
function check(program, data, board, shown) {
  const saved = readFileSync(join(data, "boards", `${board}.toml`), "utf8");
  assert.equal(saved, shown);
  const fills = [...saved.matchAll(/\[\[chart\.fill\]\]\ncount = (\d)\nslots = (\[.*\])\n/g)];
  assert.deepEqual(fills.map(([, count]) => count), ["1", "2"]);
  const slots = JSON.parse(fills[1][2]).map((label) => `"${label}" = "16GB 2Rx8 PC4-2666V-E"`);
  const build = join(data, `${board}.build.toml`);
  writeFileSync(build, `board = "${board}"\nprocessors = ["ddr4-2ch-2666"]\n[slots]\n${slots.join("\n")}\n`);
  execFileSync(program, ["--data", data, "check", build]);
}

// Every part of the largest form open, with a fault in it: nothing hangs out, nothing is too small, nothing is unnamed.
async function unfolded({ browser, base }) {
  for (const colorScheme of ["light", "dark"]) {
    const page = await open(browser, { colorScheme });
    await page.goto(`${base}/boards/dunlin-2s6/edit`);
    await page.evaluate(() => document.querySelectorAll("details").forEach((fold) => { fold.open = true; }));
    await page.locator('[name="chart.0.fill.2.count"]').fill("4");
    await page.locator('[id="f-chart.0.fill.2.count-wrong"]').waitFor();
    await page.locator('[id="f-chart.0.fill.3.count-wrong"]').waitFor();
    assert.equal(await page.locator("details:not([open])").count(), 0, "what was open stays open");
    for (const width of [390, 820, 1440]) {
      await page.setViewportSize({ width, height: 900 });
      const wide = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
      assert.ok(wide <= 0, `${wide} px too wide at ${width} px`);
      const small = await page.evaluate(() => [...document.querySelectorAll("main :is(button,select,input:not([type=hidden],[type=checkbox]),textarea,summary)")]
        .filter((e) => e.checkVisibility() && e.getBoundingClientRect().height < 43.5).map((e) => e.outerHTML.slice(0, 90)));
      assert.deepEqual(small.slice(0, 5), [], `below 44 px at ${width} px`);
    }
    await accessible(page, `all parts of a board, ${colorScheme}`);
    assert.deepEqual(page.said, []);
    await page.context().close();
  }
}

// A report becomes a draft; its slots are put right and ticked one by one; what is not ticked stays marked in the file.
async function drafted({ browser, base, data }) {
  const page = await open(browser, { viewport: { width: 820, height: 1180 } });
  await page.goto(`${base}/boards/draft`);
  const story = readFileSync(join(import.meta.dirname, "../scenarios/a-board-from-a-machine.md"), "utf8");
  const report = story.split("machine.json\n")[1].split("```")[0];
  await page.setInputFiles("#f-files", { name: "machine.json", mimeType: "application/json", buffer: Buffer.from(report) });
  await page.getByRole("button", { name: "Draft it" }).click();
  await page.getByRole("heading", { name: "Slots, one by one" }).waitFor();
  await accessible(page, "a draft");
  await page.locator('[name="channel.0"]').fill("soup");
  await page.locator('[name="ok.0"]').check();
  const write = page.getByRole("button", { name: "Write its board file" });
  await write.click();
  await page.locator('[id="f-channel.0-wrong"]').waitFor();
  await accessible(page, "a draft with a fault");
  assert.ok(await page.locator('[name="ok.0"]').isChecked(), "what was ticked stays ticked");
  await page.locator('[name="channel.0"]').fill("0");
  for (let at = 1; at < 11; at += 1) await page.locator(`[name="ok.${at}"]`).check();
  await write.click();
  const text = await page.locator("#f-text").inputValue();
  assert.match(text, /1 of 12 slots unconfirmed/);
  assert.equal(text.match(/: confirm: likely/g).length, 1);
  await page.locator("#f-id").fill("teal-drafted");
  await page.getByRole("button", { name: "Save it" }).click();
  await page.waitForURL(`${base}/boards/teal-drafted`);
  assert.equal(readFileSync(join(data, "boards/teal-drafted.toml"), "utf8"), text);
  assert.deepEqual(page.said, []);
  await page.context().close();
}

// A chart's slots by tapping the drawing, by hand and by keys; the typed field says the same, and its count follows.
async function picked({ browser, base }) {
  for (const [options, tap] of [[{ hasTouch: true, viewport: { width: 820, height: 1180 } }, (slot) => slot.tap()], [{}, (slot) => slot.press("Enter")]]) {
    const page = await open(browser, options);
    await page.goto(`${base}/boards/dunlin-2s6/edit`);
    await page.locator("#part-charts > summary").click();
    await page.locator("[id='row-chart.0'] > summary").click();
    const field = page.locator("[name='chart.0.fill.1.slots']");
    const slot = (label) => page.locator(`#map a[data-slot="${label}"]`);
    const marked = () => page.locator("#map a[aria-current=true]").evaluateAll((all) => all.map((a) => a.dataset.slot).sort());
    assert.equal(await field.inputValue(), "west-1-outer, west-4-outer");
    await field.focus();
    assert.deepEqual(await marked(), ["west-1-outer", "west-4-outer"]);
    // The drawing is in sight although the field is far below it.
    assert.ok(await slot("west-3-outer").evaluate((a) => { const box = a.getBoundingClientRect(); return box.top >= 0 && box.bottom <= innerHeight; }));
    await tap(slot("west-3-outer"));
    await holds(page, '"west-1-outer", "west-4-outer", "west-3-outer"');
    assert.equal(await page.locator("[name='chart.0.fill.1.slots']").inputValue(), "west-1-outer, west-4-outer, west-3-outer");
    assert.equal(await page.locator("[name='chart.0.fill.1.count']").inputValue(), "3");
    // Two rows of three: the fault is told at once, and goes when the slot is tapped again.
    await page.locator("#verdict").getByText("to mend").waitFor();
    assert.deepEqual(await marked(), ["west-1-outer", "west-3-outer", "west-4-outer"]);
    await tap(slot("west-3-outer"));
    await page.locator("#verdict").getByText("nothing is wrong").waitFor();
    assert.equal(await page.locator("[name='chart.0.fill.1.count']").inputValue(), "2");
    await accessible(page, "a chart whose slots are picked");
    // Elsewhere in the form the drawing leads to the slot's own row again.
    await page.getByLabel("Title", { exact: true }).focus();
    assert.deepEqual(await marked(), []);
    await tap(slot("west-2-inner"));
    await page.locator("#slot-west-2-inner").waitFor();
    assert.deepEqual(page.said, []);
    await page.context().close();
  }
}

// A variant names no slots of its own: its single slots are those of its base.
async function variant({ browser, base }) {
  const page = await open(browser);
  await page.goto(`${base}/boards/whimbrel-2s8-ddr5-quiet/edit`);
  await page.locator("#part-slots > summary").click();
  assert.equal(await page.locator("#part-slots tbody tr").count(), 32);
  await page.getByLabel("Under a heat sink of west-2-inner").selectOption("true");
  await holds(page, "west-2-inner = { under_heat_sink = true }");
  await page.locator("#verdict").getByText("nothing is wrong").waitFor();
  assert.equal(await page.getByLabel("Under a heat sink of west-2-inner").inputValue(), "true");
  await page.context().close();
}

// A blank board is no board yet: its guesses are counted until somebody says that they are right.
async function guesses({ browser, base }) {
  const page = await open(browser, { javaScriptEnabled: false });
  await page.goto(`${base}/boards/new?sockets=1&controllers=1&channels=2&slots=1`);
  assert.match(await page.locator("#verdict").textContent(), /4 lines are guesses/);
  await page.getByRole("button", { name: "All of them are right now" }).click();
  assert.match(await page.locator("#verdict").textContent(), /can be planned on/);
  assert.doesNotMatch(await page.getByLabel("The board file (TOML)").inputValue(), /: confirm/);
  await page.context().close();
}

export const tests = {
  "the slots of a chart are picked on the drawing": picked,
  "a variant's single slots are those of its base": variant,
  "a blank board is marked as a guess": guesses,
  "a draft is confirmed slot by slot": drafted,
  "every part of the board form open": unfolded,
  "form and text of a board stay in step while one types": inStep,
  "a board is written by mouse": byMouse,
  "a board is written by keys alone": byKeys,
  "a board is written without script": withoutScript,
  "faults of a board show while one types and nothing typed is lost": faults,
};
