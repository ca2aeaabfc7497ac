// What is taken, away or to be switched on, as the pages say it.
import assert from "node:assert/strict";
import { writeFileSync } from "node:fs";
import { join } from "node:path";
import { test } from "node:test";
import { Bench, close_browser, folder, open_browser, ready } from "./bench.mjs";

const skip = ready ? false : "needs bench_sample and Chromium";

const job = `<?xml version="1.0" encoding="UTF-8"?>
<job version="1" name="Two plates" revision="A">
  <lot units="2" start="2027-01-14 09:00" serials="TP-"/>
  <bench zone="Europe/Paris">
    <room temperature="21 degC" humidity="45 %RH" volume="30 m3" air-changes="2 /h"/>
    <hours days="mon tue wed thu fri sat sun" from="00:00" to="23:59"/>
    <person id="me" name="Builder"/>
    <station id="oven" name="Drying oven" card="drying-oven" places="1" together="yes" warm-up="20 min"/>
    <station id="table" card="bench"/>
    <fixture id="press" name="gluing press" count="1"/>
  </bench>
  <device>
    <part id="plate" card="washer-m4"/>
  </device>
  <steps>
    <step id="warm" process="dry" title="Dry the plate in the oven" on="plate" station="oven" setup="1 min" unattended="1 h" reaches="60 degC" batch="1">
      <do>Lay one plate in.</do>
    </step>
    <step id="mark" process="fit" title="Mark the plate" on="plate" station="table" run="2 min">
      <do>Scribe the number.</do>
    </step>
  </steps>
</job>
`;

async function with_plates(use) {
  const dir = folder();
  const file = join(dir, "job.xml");
  writeFileSync(file, job);
  const bench = new Bench(["--job", file], { dir });
  bench.set_wall((Date.parse("2027-01-14T08:00:01Z") - Date.now()) / 1000);  // the lot begins on its day
  await bench.start();
  const context = await open_browser();
  try {
    await use(bench, await context.newPage());
  } finally {
    await close_browser(context);
    await bench.end();
  }
}

let touch = 0;
const send = async (bench, fields) => (await fetch(bench.url + "do", { method: "POST", headers: { Origin: bench.url.slice(0, -1), "Content-Type": "application/x-www-form-urlencoded", Accept: "application/json" },
  body: new URLSearchParams({ id: `places-${String(++touch).padStart(8, "0")}`, ...fields }) })).json();

test("a place that is taken is said with its hour, and a reason goes on all the same", { skip }, () => with_plates(async (bench, page) => {
  await page.goto(bench.url);
  await page.locator("#warm", { hasText: "Drying oven: on" }).waitFor();
  assert.ok((await send(bench, { act: "start", step: "warm", unit: "1" })).ok);
  assert.ok((await send(bench, { act: "leave", step: "warm", unit: "1" })).ok);
  const no = await send(bench, { act: "start", step: "warm", unit: "2" });
  assert.equal(no.ok, false);
  assert.match(no.why[0].text, /^Drying oven is in use until .*\d\d:\d\d: step \d+ \(Dry the plate in the oven\), unit 1$/);
  assert.equal(no.insist, true);
  await page.reload();
  assert.equal(await page.locator("#warm").count(), 0);
  await page.goto(bench.url + "step/warm");
  assert.notEqual((await bench.state()).now?.step, "warm");
  assert.ok((await send(bench, { act: "start", step: "warm", unit: "2", text: "there is a second shelf" })).ok);
}));

test("what is away stands on Now until it is back, and the plan without it is made at once", { skip }, () => with_plates(async (bench, page) => {
  await page.goto(bench.url + "plan");
  await page.locator("#away select").selectOption("oven");
  await page.locator("#away input[name=hours]").fill("24");
  await page.locator("#away input[name=text]").fill("no heat");
  await page.getByRole("button", { name: "Plan without it" }).click();
  await page.locator("#difference").waitFor();
  await page.goto(bench.url);
  await page.locator("#missing", { hasText: "Drying oven is not to be had until" }).waitFor();
  assert.match(await page.locator("#missing").innerText(), /: no heat/);
  assert.equal(await page.locator("#warm").count(), 0);
  assert.notEqual((await bench.state()).now?.step, "warm");
  await page.getByRole("button", { name: "It is back" }).click();
  await page.locator("#missing").waitFor({ state: "detached" });
  assert.equal((await bench.state()).now?.step, "warm");
}));

test("your own times stand whole on a narrow screen", { skip }, () => with_plates(async (bench, page) => {
  await page.setViewportSize({ width: 390, height: 800 });
  for (const unit of ["1", "2"]) {
    await send(bench, { act: "start", step: "mark", unit, text: "a test" });
    bench.pass(47);
    await send(bench, { act: "done", step: "mark", unit, text: "a test" });
  }
  await page.goto(bench.url + "plan");
  const wide = page.locator("#times .wide");
  assert.ok(await wide.evaluate((e) => e.scrollWidth <= e.clientWidth));
  await page.getByRole("button", { name: "Plan with 47 s" }).waitFor();
}));
