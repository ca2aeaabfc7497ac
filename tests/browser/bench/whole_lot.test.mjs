// A whole lot from the first tick to the last, by touching the page only. Three screens are open and agree.
import assert from "node:assert/strict";
import { test } from "node:test";
import { Bench, ask_again, fill_checks, one_touch, open_browser, played, ready, settled, wait_for_next } from "./bench.mjs";

const skip = ready ? false : "needs bench_sample and Chromium";

test("a lot of three: every step, hold, value, timer, scrap, rework and a lost connection", { skip }, async () => {
  const bench = await new Bench(["--lot", "3"]).start();
  const context = await open_browser();
  const faults = [];
  await played(bench, context, async () => {
    const page = await context.newPage();
    const lot = await context.newPage();
    const other = await context.newPage();
    for (const p of [page, lot, other]) p.on("pageerror", (e) => faults.push(String(e)));
    for (const p of [page, lot, other]) p.on("console", (m) => m.type() === "error" && /Content Security|Refused/.test(m.text()) && faults.push(m.text()));
    await page.goto(bench.url);
    await lot.goto(bench.url + "lot");
    await other.goto(bench.url);
    await page.bringToFront();

    // A hold is not passed without its check.
    await page.locator("#step [data-primary]").click();
    await page.getByRole("button", { name: /^Done/ }).click();
    await page.locator("#said", { hasText: "hold: look and tick" }).waitFor();
    assert.equal(await page.locator("#said form").count(), 0);
    await page.getByRole("button", { name: "Leave it" }).click();
    assert.equal(await one_touch(page, bench), "solder");

    // Begun, undone, begun again.
    await settled(page, bench);
    await page.locator("#step [data-primary]").click();
    await page.locator("#undo", { hasText: "begun" }).getByRole("button", { name: "Undo" }).click();
    await page.locator("#step .kicker", { hasText: /^Now$/ }).waitFor();
    while ((await bench.state()).now?.step === "solder") await one_touch(page, bench);

    // A value outside its limits stops the unit.
    await one_touch(page, bench);
    const first = page.locator('[data-check="test:1:current"]');
    await first.locator("input[name=value]").fill("25,5");
    await first.locator("button").click();
    await first.getByText("outside the limits").waitFor();
    await page.getByRole("button", { name: "Done: unit 1" }).click();
    await page.locator("#said", { hasText: "25.5 mA is outside 18 to 22 mA" }).waitFor();
    await page.getByRole("button", { name: "Leave it" }).click();
    await first.locator("input[name=value]").fill("20.5");
    await first.locator("button").click();
    await first.getByText("20.5 mA").waitFor();
    await fill_checks(page, bench);

    let scrapped = false, reworked = false, cut = false;
    for (let i = 0; i < 400; ++i) {
      const to_do = (await bench.state()).now;
      if (to_do?.step === "bake" && !to_do.in_hand && !cut) {
        cut = true;
        await context.setOffline(true);
        await settled(page, bench);
        await page.locator("#step [data-primary]").click();
        await page.locator("#link", { hasText: "kept on this screen" }).waitFor();
        assert.equal((await bench.state()).now.in_hand, false);
        await context.setOffline(false);
        await page.locator("#step .kicker", { hasText: "In hand" }).waitFor();
      }
      const did = await one_touch(page, bench);
      if (did === "finished") break;
      if (did === null) {
        await wait_for_next(bench);
        continue;
      }
      const now = (await bench.state()).now;
      if (now?.step === "oil" && !scrapped) {
        scrapped = true;
        await settled(page, bench);
        await page.getByText("Note, photo, rework, scrap").click();
        const form = page.locator("form", { has: page.getByRole("button", { name: "Scrap the unit" }) });
        await form.locator("select").selectOption("3");
        await form.locator("input[name=text]").fill("split along the grain");
        await form.getByRole("button").click();
        await lot.locator("th", { hasText: "scrapped" }).waitFor();
      }
      if (now?.step === "close" && now.in_hand && !reworked) {
        reworked = true;
        const seq = (await bench.state()).seq;
        await ask_again(other, bench, 2, "oil", "a bare place at the edge");
        await page.waitForFunction((seq) => Number(document.getElementById("main").dataset.seq) > seq, seq, { polling: 100 });
      }
    }
    const end = await bench.state();
    assert.ok(end.finished, JSON.stringify(end));
    assert.ok(scrapped && reworked && cut);
    for (const p of [page, lot, other]) await settled(p, bench);
    await page.getByText("Every step of every unit is done").waitFor();
    await other.getByText("Every step of every unit is done").waitFor();
    assert.equal(await page.locator("#progress label").textContent(), await other.locator("#progress label").textContent());
    const again = await (await fetch(bench.url + "record.json")).json();
    assert.equal(new Set(again.lines.map((l) => l.id)).size, again.lines.length);
    assert.equal(again.units[2].scrapped, "split along the grain");
    assert.equal(again.units[1].reworks, 1);
    assert.deepEqual(faults, []);
  });
});
