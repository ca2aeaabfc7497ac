// The rest of the tide dial planned anew from a half-done record, through the page: shown before it is taken, quick, and
// every link kept with what was done.
import assert from "node:assert/strict";
import { test } from "node:test";
import { Bench, open_browser, played, ready, settled } from "./bench.mjs";
import { next_by_forms, send } from "./by_forms.mjs";

const skip = ready ? false : "needs bench_sample and Chromium";
const ms = (text) => Date.parse(text);
/// The shop is open for some hours yet; its zone keeps UTC in winter.
const in_the_morning = (wall_ms) => {
  const at = new Date(wall_ms);
  return at.getUTCDay() >= 1 && at.getUTCDay() <= 5 && at.getUTCHours() >= 9 && at.getUTCHours() < 11 && at.getUTCDate() !== 8;
};

/// When each step of each unit was really begun and done; unit 0 is the whole lot.
function really(lines) {
  const out = new Map();
  for (const line of lines.filter((l) => !l.struck && (l.kind === "start" || l.kind === "done"))) {
    const key = `${line.step}:${line.unit ?? 0}`;
    out.set(key, { ...out.get(key), [line.kind === "start" ? "start" : "end"]: line.wall_ms });
  }
  return out;
}

/// Every link, read straight off the operations and the record; what was done stands with its real times.
function broken_links(plan, record, good) {
  const real = really(record.lines);
  const whole = new Set(plan.steps.filter((s) => s.whole_lot).map((s) => s.id));
  const operations = new Map();
  for (const op of plan.schedule.operations) for (const unit of op.units) operations.set(`${op.step}:${unit}`, op);
  const event = (step, unit, edge) => {
    const op = operations.get(`${step}:${unit}`);
    const done = real.get(`${step}:${whole.has(step) ? 0 : unit}`);
    return op && { at: done?.[edge] ?? ms(op[edge]), done: done?.end !== undefined };
  };
  const broken = [];
  const look = (link, a, b, unit) => {
    if (!a || !b || (a.done && b.done)) return;
    const gap = (b.at - a.at) / 1000;
    if (gap < link.min_s || (link.max_s !== null && gap > link.max_s + 3))
      broken.push(`${link.from.step} > ${link.to.step} unit ${unit}: ${gap} s, ${link.min_s} to ${link.max_s}: ${link.text}`);
  };
  for (const link of plan.constraints) {
    for (const unit of good) {
      const to = event(link.to.step, unit, link.to.edge);
      for (const other of link.scope === "lot" ? good : [unit]) look(link, event(link.from.step, other, link.from.edge), to, unit);
    }
  }
  return broken;
}

test("the tide dial, half done, is planned anew through the page", { skip, timeout: 900000 }, async () => {
  const bench = new Bench(["--job", "jobs/tide-dial/job.xml"]);
  bench.set_wall((ms("2026-12-01T08:30:00Z") - Date.now()) / 1000);  // the lot begins on its day
  await bench.start();
  const context = await open_browser();
  await played(bench, context, async () => {
    const plan_before = await (await fetch(bench.url + "plan.json")).json();
    const steps = new Map(plan_before.steps.map((s) => [s.id, s]));
    // These hands are slower than planned by a third.
    const takes = ({ step, units }) => (steps.get(step).setup_s + steps.get(step).run_s * units.length) * 1.33;
    // Half done, nothing left open that must be met today; then a morning, and something in hand.
    for (let i = 0; i < 4000; ++i) {
      const { done, all, now, wall_ms, timers } = await bench.state();
      const calm = done > all / 2 && !timers.some((t) => t.until_late_s !== undefined);
      if (done > all / 2 && now?.in_hand && in_the_morning(wall_ms)) break;
      if (calm && !now?.in_hand && !in_the_morning(wall_ms)) bench.pass(1800);
      else await next_by_forms(bench, takes);
    }
    await send(bench, { id: "scrapped-0004", act: "scrap", unit: "4", text: "the case has split" });

    const page = await context.newPage();
    const other = await context.newPage();
    await other.goto(bench.url);
    await page.goto(bench.url + "plan");
    await page.bringToFront();
    const work_out = async () => {
      const begun = Date.now();
      await page.getByRole("button", { name: "Work the rest out anew" }).click();
      await page.locator("#difference").getByText(/instead of|as before/).waitFor();
      return Date.now() - begun;
    };
    const took = await work_out();
    const said = await page.locator("#difference").innerText();
    const seconds = Number(/Worked out in ([\d.]+) s/.exec(said)[1]);
    console.log(`half-done tide dial: worked out in ${seconds} s, on the page after ${took} ms`);
    if (process.env.BENCH_SHOTS) await page.screenshot({ path: `${process.env.BENCH_SHOTS}/difference.png`, fullPage: true });
    assert.ok(seconds < Number(process.env.BENCH_REPLAN_S ?? 4), said);
    assert.ok((await page.locator("#difference tbody tr").count()) > 3, said);
    assert.equal((await bench.state()).plan, plan_before.job.hash);  // shown, not taken

    // More is done meanwhile: the difference is old, and cannot be taken.
    for (let sent = 0; sent === 0; ) ({ sent } = await next_by_forms(bench, takes));
    await settled(page, bench);
    await page.locator("#difference").getByText("More was done since").waitFor();
    assert.equal(await page.getByRole("button", { name: "Take this plan" }).count(), 0);
    await page.locator("#difference").evaluate((box) => box.remove());
    await work_out();
    const now_ms = (await bench.state()).wall_ms;
    await page.getByRole("button", { name: "Take this plan" }).click();
    await page.locator("#difference").waitFor({ state: "detached" });
    await settled(other, bench);

    const plan = await (await fetch(bench.url + "plan.json")).json();
    const record = await (await fetch(bench.url + "record.json")).json();
    assert.notEqual(plan.job.hash, plan_before.job.hash);
    assert.deepEqual(broken_links(plan, record, [1, 2, 3, 5, 6]), []);
    const rest = plan.schedule.operations.filter((op) => op.because !== "done");
    assert.ok(rest.length > 10 && rest.every((op) => ms(op.start) >= now_ms - 1000), "nothing is planned into the past");
    // A run that the units before and after it go through together is told by its ends.
    assert.ok(rest.every((op) => op.units[0] !== 4 && op.units.at(-1) !== 4), "the scrapped unit is out");
    const hands = rest.filter((op) => op.hands_on_s > 0).sort((a, b) => ms(a.start) - ms(b.start));
    for (let i = 1; i < hands.length; ++i) assert.ok(ms(hands[i].start) >= ms(hands[i - 1].hands_end), `${hands[i].step} while hands are at ${hands[i - 1].step}`);
    console.log(`${plan.constraints.length} links kept over ${rest.length} operations that are left`);

    // What was taken outlives the program.
    await bench.kill();
    await bench.start();
    assert.equal((await bench.state()).plan, plan.job.hash);
    assert.deepEqual((await (await fetch(bench.url + "plan.json")).json()).schedule.operations.map((o) => [o.step, o.start]),
      plan.schedule.operations.map((o) => [o.step, o.start]));
    await page.goto(bench.url);
    assert.equal(await page.locator("#newplan").count(), 0);

    // The builder's own times are offered, agreed to, and used from then on.
    await page.goto(bench.url + "plan");
    const offered = page.locator("#times tr").filter({ has: page.getByRole("button", { name: /^Plan with/ }) }).first();
    const step = await offered.locator("th").innerText();
    const offer = offered.getByRole("button");
    const agreed = await offer.innerText();
    await offer.click();
    // What goes by these times already is offered no more.
    await page.locator("#times tr", { hasText: step }).getByText(agreed.replace("Plan with ", "planned with ")).waitFor();
    await work_out();
  });
});
