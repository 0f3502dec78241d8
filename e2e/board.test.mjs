// The board editor with script: what is changed on one side shows on the other after a pause, and what one types stays.
import assert from "node:assert/strict";
import { accessible, open } from "./pages.mjs";

const holds = (page, words) => page.waitForFunction((w) => document.querySelector("#f-text").value.includes(w), words);

async function inStep({ browser, base }) {
  const page = await open(browser);
  await page.goto(`${base}/boards/plover-1s2/edit`);
  const text = page.getByLabel("The board file (TOML)");
  const largest = page.getByLabel("Largest module");
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
  await page.getByLabel("Most in all").fill("96 GiB");
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
  await page.getByLabel("Largest module").fill("64 apples");
  await page.locator("#faults").getByText("apples").first().waitFor();
  assert.equal(await page.getByLabel("Largest module").inputValue(), "64 apples");
  // Text that is no TOML: the form waits, and nothing that was typed is lost on either side.
  const good = (await text.inputValue()).replace("64 apples", "64 GiB");
  await text.fill(`${good}\nmodule = `);
  await page.getByText("the form waits until its fault is mended").waitFor();
  assert.equal(await page.getByLabel("Title").inputValue(), /title = "(.*)"/.exec(good)[1]);
  await page.getByLabel("Title").fill("Typed meanwhile");
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
  await page.getByLabel("About").fill("About the test");
  await holds(page, 'about = "About the test"');
  assert.equal(await page.getByLabel("Title").inputValue(), "Typed meanwhile");
  assert.equal((await text.inputValue()).replace(/^about = .*$/m, ""), typed.replace(/^about = .*$/m, ""));
  assert.equal(await page.getByLabel("Largest module").inputValue(), "64 GiB");
  assert.deepEqual(page.said, []);
  await page.context().close();
}

export const tests = {
  "form and text of a board stay in step while one types": inStep,
  "faults of a board show while one types and nothing typed is lost": faults,
};
