// Plays whole demo lots by sending the page's own forms, as a browser without script does: quick, every step and check.
import assert from "node:assert/strict";
import { test } from "node:test";
import { Bench, ready } from "./bench.mjs";
import { next_by_forms } from "./by_forms.mjs";

const jobs = (process.env.BENCH_JOBS ?? "jobs/tide-dial/job.xml,jobs/soil-probe/job.xml,jobs/crystal-receiver/job.xml").split(",");

for (const job of jobs)
  test(`the whole lot of ${job}`, { skip: ready ? false : "needs bench_sample", timeout: 900000 }, async () => {
    const bench = await new Bench(["--job", job]).start();
    try {
      let sent = 0, waited = 0;
      for (let did = { finished: false }; !did.finished; ) {
        did = await next_by_forms(bench);
        sent += did.sent;
        waited += did.waited;
        assert.ok(waited < 3000 && sent < 20000, `without end: ${JSON.stringify(await bench.state())}`);
      }
      const { lines, units } = await (await fetch(bench.url + "record.json")).json();
      assert.equal(new Set(lines.map((l) => l.id)).size, lines.length);
      assert.ok(units.every((u) => u.done === u.steps), JSON.stringify(units));
      assert.ok(units.every((u) => u.against.length === 0), "done against a link");
      console.log(`${job}: ${(await bench.state()).all} steps x units, ${sent} forms, ${lines.length} lines, ${waited} waits`);
    } finally {
      await bench.end();
    }
  });
