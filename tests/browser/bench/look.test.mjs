// Every page, in three widths, light and dark: no finding of axe-core, nothing too small for a glove, nothing sideways.
// BENCH_SHOTS=folder keeps the pictures, to be looked at.
import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";
import { test } from "node:test";
import { Bench, close_browser, one_touch, open_browser, ready } from "./bench.mjs";

const skip = ready ? false : "needs bench_sample and Chromium";
const axe = ready ? readFileSync(createRequire(import.meta.url).resolve("axe-core/axe.min.js"), "utf8") : "";
const widths = [360, 768, 1280];

async function faults_of(page) {
  await page.evaluate(axe);
  const found = await page.evaluate(() => globalThis.axe.run(document, { runOnly: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"] }));
  return found.violations.map((v) => `${v.id}: ${v.nodes.map((n) => n.target + " " + n.failureSummary).join(" | ")}`);
}

/// Everything one can touch is 48 px high and wide, but for links inside a sentence.
async function too_small(page) {
  return page.evaluate(() => [...document.querySelectorAll("button, input:not([type=hidden]), select, summary, nav a, a.button, main li a, main th a, main td a, .there")]
    .filter((e) => !e.closest(".paper"))
    .filter((e) => e.offsetParent !== null)
    .map((e) => [e, (e.type === "checkbox" ? e.closest("label") : e).getBoundingClientRect()])
    .filter(([, r]) => r.height < 47.5 || r.width < 47.5)
    .map(([e, r]) => `${e.tagName} '${e.textContent.slice(0, 30)}' ${Math.round(r.width)} x ${Math.round(r.height)}`));
}

test("every page reads well at every width, light and dark", { skip, timeout: 600000 }, async () => {
  const bench = await new Bench(process.env.BENCH_JOB ? ["--job", process.env.BENCH_JOB] : ["--lot", "10"]).start();
  const context = await open_browser();
  const wrong = [];
  try {
    const page = await context.newPage();
    await page.goto(bench.url);
    const shots = process.env.BENCH_SHOTS;
    const look = async (name, path) => {
      for (const scheme of ["light", "dark"]) {
        await page.emulateMedia({ colorScheme: scheme });
        for (const width of widths) {
          await page.setViewportSize({ width, height: width < 500 ? 740 : 1000 });
          if (path !== null) await page.goto(bench.url + path);
          await page.waitForTimeout(150);
          if (width !== 768) for (const fault of await faults_of(page)) wrong.push(`${name} ${scheme} ${width}: ${fault}`);
          for (const small of await too_small(page)) wrong.push(`${name} ${scheme} ${width}: small: ${small}`);
          const over = await page.evaluate(() => document.documentElement.scrollWidth - document.documentElement.clientWidth);
          if (over > 1) wrong.push(`${name} ${scheme} ${width}: ${over} px sideways`);
          if (shots) await page.screenshot({ path: join(shots, `${name}-${width}-${scheme}.png`), fullPage: true });
        }
      }
    };
    await look("begin", "");
    await page.goto(bench.url);
    for (let i = 0; i < 7; ++i) await one_touch(page, bench);
    bench.pass(25 * 60);
    await new Promise((ok) => setTimeout(ok, 600));
    await look("now", "");
    // What stands in the way, as a page of its own: how it looks without script.
    await page.goto(bench.url + "step/pack");
    await page.evaluate(() => [...document.forms].find((f) => f.elements.namedItem("act")?.value === "start").submit());
    await page.locator("#refused").waitFor();
    await look("refused", null);
    bench.pass(14 * 3600);
    await new Promise((ok) => setTimeout(ok, 600));
    await look("resume", "");
    await page.locator("#resume").getByRole("button", { name: "I am back" }).click();
    await page.locator("#resume").waitFor({ state: "detached" });
    for (const name of ["lot", "kit", "record", "screens", "unit/1", "step/glue", "step/oil"]) await look(name.replace("/", "-"), name);
    await page.goto(bench.url);
    // A late wait, one that is over and one that runs, whatever the plan says about the order.
    const send = (fields) => fetch(bench.url + "do", { method: "POST", body: new URLSearchParams({ id: `t${Math.random().toString(36).slice(2)}00000000`.slice(0, 20), text: "for the picture", ...fields }),
      headers: { Origin: bench.url.slice(0, -1), "Content-Type": "application/x-www-form-urlencoded", Accept: "application/json" } });
    const pairs = process.env.BENCH_JOB ? [] : [["oil", "1"], ["glue", "2,3"], ["oil", "4"]];
    for (const [step, units] of pairs) {
      for (const act of ["start", "done"]) await send({ act, step, units });
      bench.pass(3000);
    }
    bench.pass(3600);
    bench.set_wall(7200);
    await new Promise((ok) => setTimeout(ok, 600));
    await look("late", "");
    await look("waits", "waits");
    await page.goto(bench.url + "plan");
    await page.getByRole("button", { name: "Work the rest out anew" }).click();
    await page.locator("#difference").waitFor();
    await look("plan", "plan");
    await look("print", "unit/1/print");
    await look("pair", "pair");
    assert.deepEqual([...new Set(wrong)], []);
  } finally {
    await close_browser(context);
    await bench.end();
  }
});
