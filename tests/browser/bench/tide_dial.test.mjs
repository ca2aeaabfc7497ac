// The demo's whole lot, played by touching the page only, with time that the test moves: every step, hold, value, timer, a
// scrapped and a reworked unit, a lost connection, a killed server, a plan worked out anew. Three pages are open and agree.
import assert from "node:assert/strict";
import { test } from "node:test";
import { Bench, ask_again, one_touch, open_browser, played, ready, settled, wait_for_next } from "./bench.mjs";

const skip = ready ? false : "needs bench_sample and Chromium";

class Play {
  constructor(bench, context, pages) {
    this.bench = bench;
    this.context = context;
    [this.page, this.lot, this.other] = pages;
    this.did = new Set();
  }
  /// Runs what is due at this point, each once.
  async once(name, due, run) {
    if (this.did.has(name) || !due) return;
    this.did.add(name);
    await this.page.bringToFront();
    await settled(this.page, this.bench);
    await run();
  }
  async record() {
    return (await fetch(this.bench.url + "record.json")).json();
  }
  async refused(words) {
    await this.page.locator("#said", { hasText: words }).waitFor();
    await this.page.getByRole("button", { name: "Leave it" }).click();
  }

  async hold() {
    const { page } = this;
    await page.locator("#step [data-primary]").click();
    await page.locator("#step .kicker", { hasText: "In hand" }).waitFor();
    assert.equal(await page.locator("#step [data-primary]").count(), 0);
    await page.getByRole("button", { name: /^Done/ }).first().click();
    await page.locator("#said", { hasText: "hold:" }).waitFor();
    assert.equal(await page.locator("#said form").count(), 0, "a hold knows no all the same");
    await page.getByRole("button", { name: "Leave it" }).click();
  }
  async undo() {
    const { page } = this;
    await page.locator("#step [data-primary]").click();
    await page.locator("#undo", { hasText: "begun" }).getByRole("button", { name: "Undo" }).click();
    await page.locator("#step .kicker", { hasText: /^Now$/ }).waitFor();
  }
  async outside() {
    const { page } = this;
    await page.locator("#step [data-primary]").first().click();
    const row = page.locator('[data-check="measure-frames:1:hole"]');
    await row.locator("input[name=value]").fill("5,2");
    await row.locator("button").click();
    await row.getByText("outside the limits").waitFor();
    await page.getByRole("button", { name: /^Done: unit 1$|^Done: all/ }).first().click();
    await this.refused("is outside");
    await row.locator("input[name=value]").fill("4.9");
    await row.locator("button").click();
    await row.getByText("4.9 mm").waitFor();
  }
  async lost_connection() {
    const { page, context, bench } = this;
    const before = await bench.state();
    await context.setOffline(true);
    await page.locator("#step [data-primary]").first().click();
    await page.locator("#link", { hasText: "kept on this screen" }).waitFor();
    assert.equal((await bench.state()).seq, before.seq);
    await context.setOffline(false);
    await page.locator("#step .kicker", { hasText: "In hand" }).waitFor();
  }
  async killed() {
    const { page, bench } = this;
    const shown = await page.locator("#step").getAttribute("data-step");  // what is due may have changed since, with time
    await bench.kill();
    await page.locator("#step [data-primary]").first().click();
    await page.locator("#link", { hasText: "kept on this screen" }).waitFor();
    await bench.start();
    await page.locator("#step .kicker", { hasText: "In hand" }).waitFor();
    const last = (await this.record()).lines.filter((l) => l.kind === "start").at(-1);
    assert.equal(last.step, shown);  // what ran by itself and is over comes up before it
  }
  async photo() {
    const { page } = this;
    await page.getByText("Note, photo, rework, scrap").click();
    const form = page.locator("form.photo");
    if (await form.locator("select").count()) await form.locator("select").selectOption("1");
    await form.locator("input[type=file]").setInputFiles({ name: "inside.png", mimeType: "image/png", buffer: await page.screenshot() });
    await form.locator("button").click();
    await page.waitForFunction(async () => (await (await fetch("/record.json")).json()).lines.some((l) => l.kind === "photo"), null, { polling: 200 });
  }
  async notes() {
    const { page } = this;
    await page.getByText("Note, photo, rework, scrap").click();
    for (const words of ["the cloth sheds", "a finer cloth next time"]) {
      const form = page.locator("form", { has: page.getByRole("button", { name: "Keep the note" }) });
      await form.locator("input[name=text]").fill(words);
      await form.getByRole("button").click();
      await page.waitForFunction(async (w) => (await (await fetch("/record.json")).json()).lines.some((l) => l.text === w), words, { polling: 200 });
      await page.waitForTimeout(900);
    }
  }
  async scrap() {
    const { other, lot, bench } = this;
    await other.goto(bench.url + "unit/6");
    const form = other.locator("#amend form", { has: other.getByRole("button", { name: "Scrap the unit" }) });
    await form.locator("input[name=text]").fill("split along the grain");
    await form.getByRole("button").click();
    await other.locator("#head", { hasText: "split along the grain" }).waitFor();
    await settled(lot, bench);
    await lot.locator("th", { hasText: "scrapped" }).waitFor();
    await other.goto(bench.url);
  }
  async rework() {
    await ask_again(this.other, this.bench, 2, "test-hand", "the tip touches at high water");
  }
  async replan() {
    const { other, page, bench } = this;
    await other.goto(bench.url + "plan");
    await other.getByRole("button", { name: "Work the rest out anew" }).click();
    await other.locator("#difference").getByText("instead of").waitFor();
    const before = (await bench.state()).plan;
    await other.getByRole("button", { name: "Take this plan" }).click();
    await other.locator("#difference").waitFor({ state: "detached" });
    assert.notEqual((await bench.state()).plan, before);
    await other.goto(bench.url);
    await page.bringToFront();
  }
  async night() {
    const { page, bench } = this;
    await page.getByRole("button", { name: "I leave the bench" }).click();
    await page.getByRole("button", { name: "I am back" }).first().waitFor();
    bench.pass(14 * 3600);
    await page.locator("#resume", { hasText: "Back after 14 h" }).waitFor();
    await page.locator("#resume").getByRole("button", { name: "I am back" }).click();
    await page.locator("#resume").waitFor({ state: "detached" });
  }
  /// An alarm that sounds on one page is stopped on another.
  async alarm() {
    const { page, other } = this;
    await other.goto(this.bench.url + "waits");
    await page.locator('[data-sounds="1"]').first().waitFor();
    assert.match(await page.title(), /^\(\d+\)/);
    const id = await page.locator('[data-sounds="1"]').first().getAttribute("data-timer");
    await other.locator(`[data-timer="${id}"]`).getByRole("button", { name: "Stop the alarm" }).click();
    await page.locator(`[data-timer="${id}"][data-sounds="1"]`).waitFor({ state: "detached" });
    await other.goto(this.bench.url);
  }

  async events(state) {
    const { now, done, all, timers } = state;
    const is = (step, in_hand) => now?.step === step && now.in_hand === in_hand;
    await this.once("hold", is("check-in", false), () => this.hold());
    await this.once("undo", is("sand-case", false), () => this.undo());
    await this.once("outside", is("measure-frames", false), () => this.outside());
    await this.once("lost connection", is("case-inserts", false), () => this.lost_connection());
    await this.once("notes", is("wipe-1", true), () => this.notes());
    await this.once("alarm", timers.some((t) => t.sounds), () => this.alarm());
    await this.once("scrap", is("mask-base", true) || is("oil-2", true), () => this.scrap());
    await this.once("killed", now && !now.in_hand && done > all / 3, () => this.killed());
    await this.once("night", now && !now.in_hand && done > all / 2.5, () => this.night());
    await this.once("replan", now && done > all / 2, () => this.replan());
    await this.once("photo", is("photo-inside", true), () => this.photo());
    await this.once("rework", is("fit-movement", true), () => this.rework());
  }
}

test("the tide dial, six units, from the first tick to the last", { skip, timeout: 3500000 }, async () => {
  const bench = new Bench(["--job", "jobs/tide-dial/job.xml"]);
  bench.set_wall((Date.parse("2026-12-01T08:30:00Z") - Date.now()) / 1000);
  await bench.start();
  const context = await open_browser();
  const faults = [];
  const begun = Date.now();
  let touches = 0, waits = 0;
  await played(bench, context, async () => {
    const pages = [];
    for (const path of ["", "lot", ""]) {
      const page = await context.newPage();
      page.on("pageerror", (e) => faults.push(String(e)));
      page.on("console", (m) => m.type() === "error" && /Content Security|Refused/.test(m.text()) && faults.push(m.text()));
      await page.goto(bench.url + path);
      pages.push(page);
    }
    const play = new Play(bench, context, pages);
    const [page, lot, other] = pages;
    await page.bringToFront();
    const steps = new Set();
    for (; touches < 5000; ++touches) {
      const state = await bench.state();
      if (state.now) steps.add(state.now.step);
      await play.events(state);
      const did = await one_touch(page, bench);
      if (did === "finished") break;
      if (did === null) {
        ++waits;
        await wait_for_next(bench);
      }
      if (touches % 50 === 49) console.log(`${(await bench.state()).done} of ${state.all} after ${touches + 1} touches, ${Math.round((Date.now() - begun) / 1000)} s`);
    }
    const end = await bench.state();
    assert.ok(end.finished, JSON.stringify(end));
    assert.deepEqual([...play.did].sort(), ["alarm", "hold", "killed", "lost connection", "night", "notes", "outside", "photo", "replan", "rework", "scrap", "undo"]);

    // All pages say the same, and it is what the record says.
    for (const p of pages) await settled(p, bench);
    for (const p of [page, other]) await p.getByText("Every step of every unit is done").waitFor();
    assert.equal(await page.locator("#progress label").textContent(), `${end.all} of ${end.all} done`);
    assert.equal(await page.locator("#progress label").textContent(), await other.locator("#progress label").textContent());
    const cells = await lot.locator("#grid td[data-cell]").evaluateAll((all) => all.map((c) => [c.dataset.cell, c.textContent.trim()]));
    for (const [cell, words] of cells) assert.match(words, cell.endsWith(":6") ? /scrapped/ : /done/, cell);
    const plan = await (await fetch(bench.url + "plan.json")).json();
    assert.equal(cells.length, plan.steps.length * 6);
    assert.deepEqual([...steps].sort(), plan.steps.map((s) => s.id).sort(), "every step was in hand");

    const { lines, units } = await play.record();
    assert.equal(new Set(lines.map((l) => l.id)).size, lines.length);
    assert.equal(units[5].scrapped, "split along the grain");
    assert.ok(units.slice(0, 5).every((u) => u.done === u.steps), JSON.stringify(units));
    assert.equal(units[1].reworks, 1);
    assert.deepEqual(units.slice(0, 5).map((u) => u.against), [[], [], [], [], []], "nothing was done against a link");
    const live = lines.filter((l) => !l.struck);
    for (const step of plan.steps) {
      for (const check of step.checks.filter((c) => c.value ?? c.unit ?? false)) {
        if (!step.hold) continue;
        for (const unit of step.whole_lot ? [undefined] : [1, 2, 3, 4, 5])
          assert.ok(live.some((l) => l.step === step.id && l.unit === unit && l.item === check.id && l.kind === "value"), `${step.id} ${check.id} unit ${unit}`);
      }
    }
    const pdf = await fetch(bench.url + "unit/1/record.pdf");
    assert.equal(pdf.headers.get("content-type"), "application/pdf");
    assert.deepEqual(faults, []);
    console.log(`tide dial: ${plan.steps.length} steps, ${end.all} steps x units, ${touches} touches, ${waits} waits, ${lines.length} lines, ${Math.round((Date.now() - begun) / 1000)} s`);
  });
});
