// Plays whole demo lots by sending the page's own forms, as a browser without script does: quick, every step and check.
import assert from "node:assert/strict";
import { test } from "node:test";
import { Bench, good_value, ready } from "./bench.mjs";

const plain = (text) => text.replaceAll("&quot;", '"').replaceAll("&#39;", "'").replaceAll("&lt;", "<").replaceAll("&gt;", ">").replaceAll("&amp;", "&");

/// The forms of the page: hidden fields, whether a value is asked for, and the button.
function forms(html) {
  return [...html.matchAll(/<form method="post" action="\/do"[^>]*>(.*?)<\/form>/gs)].map(([all, inside]) => ({
    all, at: html.indexOf(all),
    fields: Object.fromEntries([...inside.matchAll(/<input type="hidden" name="([^"]+)" value="([^"]*)"/g)].map((m) => [m[1], plain(m[2])])),
    primary: inside.includes("data-primary"),
    value: /name="value" inputmode/.test(inside),
  }));
}

async function send(bench, fields) {
  const answer = await fetch(bench.url + "do", { method: "POST", redirect: "manual", body: new URLSearchParams(fields),
    headers: { Origin: bench.url.slice(0, -1), "Content-Type": "application/x-www-form-urlencoded", Accept: "application/json" } });
  assert.equal(answer.status, 200, `${JSON.stringify(fields)}: ${await answer.clone().text()}`);
}

const jobs = (process.env.BENCH_JOBS ?? "jobs/tide-dial/job.xml,jobs/soil-probe/job.xml,jobs/crystal-receiver/job.xml").split(",");

for (const job of jobs)
  test(`the whole lot of ${job}`, { skip: ready ? false : "needs bench_sample", timeout: 900000 }, async () => {
    const bench = await new Bench(["--job", job]).start();
    try {
      let sent = 0, waited = 0;
      for (let i = 0; i < 20000; ++i) {
        const state = await bench.state();
        if (state.finished) break;
        if (!state.now) {
          const open = state.timers.filter((t) => t.until_ready_s > 0).map((t) => t.until_ready_s);
          bench.pass(open.length > 0 ? Math.min(...open) + 1 : 600);
          if (++waited > 3000) assert.fail(`waits without end: ${JSON.stringify(state)}`);
          continue;
        }
        const html = await (await fetch(bench.url)).text();
        const all = forms(html);
        if (state.now.in_hand) {
          for (const form of all.filter((f) => f.fields.act === "tick" || f.fields.act === "value")) {
            const row = html.lastIndexOf('<li class="check"', form.at);
            if (html.slice(row, form.at).includes('class="mark')) continue;
            const limit = /class="limit">\(([^)]*)/.exec(html.slice(row, form.at))?.[1] ?? "";
            await send(bench, form.value ? { ...form.fields, value: good_value(plain(limit)) } : form.fields);
            ++sent;
          }
        }
        const primary = forms(await (await fetch(bench.url)).text()).find((f) => f.primary);
        assert.ok(primary, `nothing to touch: ${JSON.stringify(state.now)}`);
        await send(bench, primary.fields);
        ++sent;
      }
      const end = await bench.state();
      assert.ok(end.finished, JSON.stringify(end));
      const { lines, units } = await (await fetch(bench.url + "record.json")).json();
      assert.equal(new Set(lines.map((l) => l.id)).size, lines.length);
      assert.ok(units.every((u) => u.done === u.steps), JSON.stringify(units));
      assert.ok(units.every((u) => u.against.length === 0), "done against a link");
      console.log(`${job}: ${end.all} steps x units, ${sent} forms, ${lines.length} lines, ${waited} waits`);
    } finally {
      await bench.end();
    }
  });
