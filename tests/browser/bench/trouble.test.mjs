// Lost connections, killed servers, clocks that jump, disks that are full, screens that may not.
import assert from "node:assert/strict";
import { execFileSync } from "node:child_process";
import { chmodSync, mkdirSync } from "node:fs";
import { test } from "node:test";
import { Bench, close_browser, folder, one_touch, open_browser, ready, settled } from "./bench.mjs";

const skip = ready ? false : "needs bench_sample and Chromium";
const root = process.getuid?.() === 0;

async function with_bench(args, use, options) {
  const bench = await new Bench(args, options).start();
  const context = await open_browser();
  try {
    const page = await context.newPage();
    await use({ bench, context, page });
  } finally {
    await close_browser(context);
    await bench.end();
  }
}

/// Something written by another screen.
const elsewhere = (bench, fields) => fetch(bench.url + "do", { method: "POST", headers: { Origin: bench.url.slice(0, -1), "Content-Type": "application/x-www-form-urlencoded", Accept: "application/json" },
  body: new URLSearchParams({ id: `t${Math.random().toString(36).slice(2)}00000000`.slice(0, 20), ...fields }) });

/// Solder, of three units, is next; unit 3 is chosen to be scrapped, and no reason written yet.
async function begin_scrap(bench, page) {
  await page.goto(bench.url);
  await one_touch(page, bench);
  await one_touch(page, bench);  // solder, of three units, is next
  await settled(page, bench);
  await page.getByText("Note, photo, rework, scrap").click();
  const form = page.locator("form", { has: page.getByRole("button", { name: "Scrap the unit" }) });
  await form.locator("select").selectOption("3");
  return form;
}

/// Glue of unit 1 done: a cure of 30 min runs.
async function glue(bench) {
  for (const act of ["start", "done"]) assert.equal((await elsewhere(bench, { act, step: "glue", unit: "1", text: "a test" })).status, 200);
}

test("what others write takes nothing from under the finger or out of a form", { skip }, () => with_bench(["--lot", "3"], async ({ bench, page }) => {
  const form = await begin_scrap(bench, page);
  await elsewhere(bench, { act: "note", step: "solder", unit: "2", text: "the tip is worn" });
  await settled(page, bench);
  assert.equal(await form.locator("select").inputValue(), "3");
  await form.locator("input[name=text]").fill("split along the grain");
  const begin = page.locator("#step [data-primary]");
  await begin.hover();
  await page.mouse.down();
  const { seq } = await bench.state();
  await elsewhere(bench, { act: "note", step: "solder", unit: "1", text: "flux is low" });
  await page.waitForTimeout(700);
  await page.mouse.up();
  await page.locator("#step .kicker", { hasText: "In hand" }).waitFor();
  const { lines } = await (await fetch(bench.url + "record.json")).json();
  assert.ok(lines.some((l) => l.seq > seq && l.kind === "start"), JSON.stringify(lines.at(-1)));
  await settled(page, bench);
  assert.equal(await form.locator("select").inputValue(), "3");
  assert.equal(await form.locator("input[name=text]").inputValue(), "split along the grain");
  await form.getByRole("button").click();
  await page.locator("#undo", { hasText: "scrapped" }).waitFor();
  const after = await (await fetch(bench.url + "record.json")).json();
  assert.equal(after.units[2].scrapped, "split along the grain");
}));

test("words go on into the form where they were begun, of many with a field for words", { skip }, () => with_bench(["--lot", "3"], async ({ bench, page }) => {
  const form = await begin_scrap(bench, page);
  await form.locator("input[name=text]").focus();
  assert.equal((await elsewhere(bench, { act: "start", step: "solder", units: "1,2,3" })).status, 200);
  await page.locator("#step .kicker", { hasText: "In hand" }).waitFor();
  assert.equal(await form.locator("select").inputValue(), "3");
  await page.keyboard.type("split along the grain");
  assert.equal(await form.locator("input[name=text]").inputValue(), "split along the grain");
}));

test("who waits for the air to clear sees the time of day, and the timer ends", { skip }, () => with_bench([], async ({ bench, page }) => {
  for (const fields of [{ act: "start", step: "verify", unit: "0" }, { act: "tick", step: "verify", unit: "0", item: "revision" }, { act: "done", step: "verify", unit: "0" },
    { act: "start", step: "oil", unit: "1", text: "a test" }, { act: "done", step: "oil", unit: "1" }]) assert.equal((await elsewhere(bench, fields)).status, 200);
  await page.goto(bench.url + "step/solder");
  await page.locator("#step .against strong", { hasText: "not before" }).waitFor();
  await page.goto(bench.url + "waits");
  await page.locator("li.timer.running", { hasText: "air clear and tools cold after step 60" }).waitFor();
  bench.pass(601);
  await page.locator("li.timer.ready", { hasText: "air clear and tools cold after step 60" }).waitFor();
  await page.goto(bench.url + "step/solder");
  assert.equal(await page.locator("#step .against").count(), 0);
}));

test("the server is killed: ticks stay on the page and arrive once", { skip }, () => with_bench([], async ({ bench, page }) => {
  await page.goto(bench.url);
  await bench.kill();
  await page.locator("#step").getByRole("button", { name: /Seen/ }).click();
  await page.locator("#step [data-primary]").click();
  await page.locator("#link", { hasText: "kept on this screen" }).waitFor();
  await page.waitForTimeout(3500);  // tried again meanwhile, in vain
  await bench.start();
  await page.locator("#step .kicker", { hasText: "In hand" }).waitFor();
  await page.locator("#step .check .mark.good").waitFor();
  const { lines } = await (await fetch(bench.url + "record.json")).json();
  assert.deepEqual(lines.map((l) => l.kind), ["plan", "tick", "start"]);
}));

test("a kept tick that is refused later stands on the page until somebody leaves it", { skip }, () => with_bench([], async ({ bench, page }) => {
  await page.goto(bench.url);
  await page.locator("#step [data-primary]").click();
  await page.locator("#step .kicker", { hasText: "In hand" }).waitFor();
  await bench.kill();
  await page.getByRole("button", { name: "Done: whole lot" }).click();
  await page.locator("#step").getByRole("button", { name: /Seen/ }).click();
  await page.locator("#link", { hasText: "2 ticks are kept on this screen" }).waitFor();
  await bench.start();
  await page.locator("#step .check .mark.good").waitFor();  // written after it
  await page.locator("#said .refused", { hasText: "hold: look and tick" }).waitFor();
  await page.reload();
  const no = page.locator("#said .refused > li", { hasText: "Done: whole lot" });
  await no.waitFor();
  await no.getByRole("button", { name: "Leave it" }).click();
  await no.waitFor({ state: "detached" });
  assert.equal(await page.evaluate(() => localStorage.length), 0);
}));

test("what another program answers drops no tick", { skip }, () => with_bench([], async ({ bench, page }) => {
  await page.goto(bench.url);
  let answer = { status: 404, body: "no" };
  await page.route("**/do", (route) => (answer ? route.fulfill(answer) : route.continue()));
  await page.locator("#step [data-primary]").click();
  for (const status of [404, 200, 409, 500]) {
    answer = { status, body: "{}" };
    await page.locator("#said", { hasText: `(${status}) is not this bench` }).waitFor();
    assert.equal(await page.evaluate(() => localStorage.length), 1);
  }
  answer = null;
  await page.locator("#step .kicker", { hasText: "In hand" }).waitFor();
}));

test("a reload while ticks are kept does not lose them", { skip }, () => with_bench([], async ({ bench, context, page }) => {
  await page.goto(bench.url);
  await page.route("**/do", (route) => route.abort());
  await page.locator("#step [data-primary]").click();
  await page.locator("#link", { hasText: "kept on this screen" }).waitFor();
  await page.unroute("**/do");
  await page.reload();
  await page.locator("#step .kicker", { hasText: "In hand" }).waitFor();
}));

test("the machine sleeps for three hours, and so does the browser", { skip }, () => with_bench([], async ({ bench, context, page }) => {
  await glue(bench);
  await page.goto(bench.url + "waits");
  await page.locator(".timer.running", { hasText: "epoxy of the feet cures" }).waitFor();
  await context.setOffline(true);
  bench.pass(3 * 3600);
  await context.setOffline(false);
  const timer = page.locator(".timer.ready", { hasText: "epoxy of the feet cures" });
  await timer.waitFor();
  await timer.getByText("over since 2 h 30 min").or(timer.getByText(/since 2 h 30 min/)).first().waitFor();
  assert.match(await page.title(), /^\(1\)/);
  const second = await context.newPage();
  await second.goto(bench.url);
  await second.locator(".timer.ready").getByRole("button", { name: "Stop the alarm" }).click();
  await page.waitForFunction(() => !/^\(/.test(document.title), null, { polling: 100 });  // stopped from anywhere
}));

test("the wall clock jumps a day: no cure ends by itself, the builder is asked", { skip }, () => with_bench([], async ({ bench, page }) => {
  await glue(bench);
  await page.goto(bench.url);
  bench.set_wall(86400);
  await page.locator("#clock").waitFor();
  await page.locator(".timer.doubt").waitFor();
  await page.getByRole("button", { name: "No, the clock was set" }).click();
  await page.locator(".timer.running").waitFor();
  assert.equal(await page.locator("#clock").count(), 0);
  bench.set_wall(-3600);
  await page.waitForTimeout(900);
  assert.equal((await bench.state()).timers[0].phase, "running");
  bench.pass(1800);
  await page.locator(".timer.ready").waitFor();
}));

test("the machine was off for a night: asked once, then the cure is over", { skip }, () => with_bench([], async ({ bench, page }) => {
  await glue(bench);
  await bench.kill();
  bench.boot = "2";
  bench.set_wall(14 * 3600);
  await bench.start();
  await page.goto(bench.url);
  await page.locator("#clock", { hasText: "14 h" }).waitFor();
  await page.locator("#resume", { hasText: "Back after 14 h" }).waitFor();
  await page.getByRole("button", { name: "Yes, that time went by" }).click();
  await page.locator(".timer.ready").waitFor();
}));

test("a full disk is said, and the tick waits on the page until there is room", { skip: skip || (!root && "needs root for a small disk") }, async () => {
  const dir = folder();
  try {
    execFileSync("mount", ["-t", "tmpfs", "-o", "size=256k", "none", dir]);
  } catch {
    console.log("skipped: no small disk can be mounted here");
    return;
  }
  try {
    await with_bench([], async ({ bench, page }) => {
      await page.goto(bench.url);
      execFileSync("sh", ["-c", `dd if=/dev/zero of=${dir}/filler bs=1k count=400 2>/dev/null || true`]);
      await page.locator("#step [data-primary]").click();
      await page.locator("#said", { hasText: "the disk" }).waitFor();
      await page.locator("#trouble", { hasText: "cannot be written" }).waitFor();
      assert.equal((await bench.state()).now.in_hand, false);
      execFileSync("rm", [`${dir}/filler`]);
      await page.locator("#step .kicker", { hasText: "In hand" }).waitFor();
      await page.locator("#trouble").waitFor({ state: "detached" });
    }, { dir });
  } finally {
    execFileSync("umount", ["-l", dir]);
  }
});

test("a folder that cannot be written: read, said, and nothing lost", { skip: skip || (!root && "needs root to become nobody") }, async () => {
  const dir = folder();
  const inner = dir + "/record";
  chmodSync(dir, 0o755);
  mkdirSync(inner, { mode: 0o755 });
  const bench = await new Bench([], { dir: inner }).start();
  await bench.kill("SIGKILL");
  for (const name of ["record.db-wal", "record.db-shm", "record.db.lock"]) execFileSync("rm", ["-f", `${inner}/${name}`]);
  chmodSync(bench.clock_file, 0o644);
  await with_bench([], async ({ bench: poor, page }) => {
    await page.goto(poor.url);
    await page.locator("#trouble", { hasText: "cannot be written" }).waitFor();
    await page.locator("#step [data-primary]").click();
    await page.locator("#said", { hasText: "kept here" }).waitFor();
    chmodSync(inner, 0o777);
    execFileSync("sh", ["-c", `chmod 666 ${inner}/*`]);
    await page.locator("#step .kicker", { hasText: "In hand" }).waitFor();
  }, { dir: inner, uid: 65534 });
});

test("pairing: no code, wrong code, right code, look only, withdrawn", { skip }, () => with_bench(["--listen", "0.0.0.0", "--codes"], async ({ bench, context, page }) => {
  const url = `http://127.0.0.1:${bench.port}/`;
  await page.goto(url);
  assert.equal(new URL(page.url()).pathname, "/pair");
  await page.locator("input[name=code]").fill("AAAA-AAAA");
  await page.getByRole("button", { name: "Pair" }).click();
  await page.getByText("that is not the code").waitFor();
  await page.locator("input[name=code]").fill(bench.write_code.toLowerCase());
  await page.getByRole("button", { name: "Pair" }).click();
  await page.locator("#step").waitFor();
  const cookies = await context.cookies();
  assert.ok(cookies.every((c) => c.httpOnly && c.sameSite === "Strict"));

  const looker = await open_browser();
  try {
    const look = await looker.newPage();
    await look.goto(`${url}pair?code=${bench.read_code}`);
    assert.equal(await look.locator("input[name=code]").inputValue(), bench.read_code);
    await look.locator("input[name=label]").fill("wall screen");
    await look.getByRole("button", { name: "Pair" }).click();
    await look.locator("#step").waitFor();
    assert.equal(await look.locator("#step button").count(), 0);
    await page.locator("#step [data-primary]").click();
    await look.locator("#step .kicker", { hasText: "In hand" }).waitFor();  // sees it live
    await page.goto(url + "screens");
    await page.getByRole("button", { name: "Withdraw wall screen" }).click();
    await look.waitForURL("**/pair");
  } finally {
    await close_browser(looker);
  }
}));

test("works without script", { skip }, async () => {
  const bench = await new Bench([]).start();
  const context = await open_browser({ javaScriptEnabled: false });
  try {
    const page = await context.newPage();
    await page.goto(bench.url);
    await page.getByRole("button", { name: /Seen/ }).click();
    await page.locator("#step .check .mark.good").waitFor();
    await page.getByRole("button", { name: "Begin: whole lot" }).click();
    await page.getByRole("button", { name: "Done: whole lot" }).click();
    await page.getByText("Solder the lead to the board").first().waitFor();
    await page.locator("#undo").getByRole("button", { name: "Undo" }).click();
    await page.getByText("Check documents and hardware").first().waitFor();
    await page.goto(bench.url + "step/oil");
    await page.getByRole("button", { name: /Begin all the same/ }).click();
    await page.locator("input[name=text]").fill("a dry fit only");
    await page.getByRole("button", { name: "Do it, and keep the reason" }).click();
  const { lines } = await (await fetch(bench.url + "record.json")).json();
    assert.deepEqual([lines.at(-1).kind, lines.at(-1).step, lines.at(-1).text], ["start", "oil", "a dry fit only"]);
  } finally {
    await close_browser(context);
    await bench.end();
  }
});

test("keyboard and foot pedal do the one thing that is next, a bouncing one once", { skip }, () => with_bench([], async ({ bench, page }) => {
  await page.goto(bench.url);
  await page.keyboard.press("PageDown");
  await page.keyboard.press("PageDown");
  await page.locator("#step .kicker", { hasText: "In hand" }).waitFor();
  await page.waitForTimeout(800);
  await page.locator(".check").getByRole("button", { name: /Seen/ }).focus();
  await page.keyboard.press("Space");  // the focused button, not the pedal's
  await page.locator("#step .check .mark.good").waitFor();
  await page.evaluate(() => document.activeElement?.blur());
  await page.keyboard.press("Space");
  await page.locator("#step[data-step=solder]").waitFor();
  const { lines } = await (await fetch(bench.url + "record.json")).json();
  assert.deepEqual(lines.map((l) => l.kind), ["plan", "start", "tick", "done"]);
}));

test("what is being typed stays while others tick", { skip }, () => with_bench([], async ({ bench, context, page }) => {
  await page.goto(bench.url + "step/test");
  const other = await context.newPage();
  await other.goto(bench.url);
  await page.locator('[data-check="test:1:current"] input[name=value]').fill("19.");
  await other.locator("#step [data-primary]").click();
  await settled(page, bench);
  assert.equal(await page.locator('[data-check="test:1:current"] input[name=value]').inputValue(), "19.");
}));

test("the rest is worked out anew, shown as a difference, then taken", { skip }, () => with_bench([], async ({ bench, context, page }) => {
  await page.goto(bench.url);
  await one_touch(page, bench);
  await one_touch(page, bench);
  await page.goto(bench.url + "plan");
  await page.getByRole("button", { name: "Work the rest out anew" }).click();
  await page.locator("#difference tbody tr").first().waitFor();
  const other = await context.newPage();
  await other.goto(bench.url);
  const before = (await bench.state()).plan;
  await page.getByRole("button", { name: "Take this plan" }).click();
  await page.locator("#difference").waitFor({ state: "detached" });
  assert.notEqual((await bench.state()).plan, before);
}));

test("a photo is kept with its unit, and what is no photo is refused", { skip }, () => with_bench([], async ({ bench, page }) => {
  await page.goto(bench.url + "step/solder");
  await page.getByText("Note, photo, rework, scrap").click();
  const form = page.locator("form.photo");
  await form.locator("select").selectOption("2");
  await form.locator("input[type=file]").setInputFiles({ name: "x.png", mimeType: "image/png", buffer: Buffer.from("<svg onload=alert(1)>") });
  await form.locator("button").click();
  await page.locator("#said", { hasText: "no JPEG, PNG or WebP" }).waitFor();
  const picture = await page.screenshot();
  await form.locator("input[type=file]").setInputFiles({ name: "x.png", mimeType: "image/png", buffer: picture });
  await form.locator("button").click();
  await page.waitForFunction(async () => (await (await fetch("/record.json")).json()).lines.some((l) => l.kind === "photo"), null, { polling: 200 });
  await page.goto(bench.url + "unit/2");
  const shown = page.locator(".thumb img");
  await shown.waitFor();
  assert.ok(await shown.evaluate((i) => i.complete && i.naturalWidth > 0));
}));
