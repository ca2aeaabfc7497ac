// bench.mjs: starts bench_sample with a clock that the test moves, and Chromium with a profile of its own.
import { spawn } from "node:child_process";
import { once } from "node:events";
import { existsSync, mkdtempSync, renameSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { dirname, join } from "node:path";
import { createInterface } from "node:readline";
import { fileURLToPath } from "node:url";
import { chromium } from "playwright-core";

const here = dirname(fileURLToPath(import.meta.url));
export const top = join(here, "..", "..", "..");
export const program = process.env.BENCH_SAMPLE ?? join(top, "build", "dev", "bench_sample");
export const browser_program = process.env.CHROMIUM ?? "/usr/bin/chromium";
export const ready = existsSync(program) && existsSync(browser_program);

export function folder() {
  return mkdtempSync(join(tmpdir(), "handlot-browser-"));
}

/// A bench with a clock of its own. boot: suffix of the boot id; run and wall: milliseconds added to the two clocks.
export class Bench {
  constructor(args = [], { dir = folder(), uid, file = "record.db" } = {}) {
    this.dir = dir;
    this.args = args;
    this.uid = uid;
    this.file = file;
    this.clock_file = join(this.dir + "-clock");
    this.boot = "";
    this.run = 0;
    this.wall = 0;
    this.port = 0;
    this.refused = [];
    this.write_clock();
  }
  write_clock() {
    // Written beside and moved there: the server may look at any moment, and half a file is another clock.
    writeFileSync(this.clock_file + ".new", `x${this.boot} ${Math.round(this.run)} ${Math.round(this.wall)}\n`);
    renameSync(this.clock_file + ".new", this.clock_file);
  }
  async start() {
    const args = [join(this.dir, this.file), "--clock", this.clock_file, "--port", String(this.port), ...this.args];
    this.process = spawn(program, args, { stdio: ["pipe", "pipe", "pipe"], uid: this.uid, cwd: top });
    const out = createInterface({ input: this.process.stdout });
    createInterface({ input: this.process.stderr }).on("line", (line) => this.refused.push(line));
    const lines = out[Symbol.asyncIterator]();
    const first = await lines.next();
    if (first.done) throw new Error(`bench_sample did not start: ${this.refused.join("; ")}`);
    this.url = first.value;
    this.port = Number(new URL(this.url).port);
    if (this.args.includes("--codes")) [this.write_code, this.read_code] = (await lines.next()).value.split(" ");
    return this;
  }
  /// Both clocks go on: time passes, or the machine slept.
  pass(seconds) {
    this.run += seconds * 1000;
    this.wall += seconds * 1000;
    this.write_clock();
  }
  /// Somebody sets the wall clock, by so many seconds.
  set_wall(seconds) {
    this.wall += seconds * 1000;
    this.write_clock();
  }
  async kill(signal = "SIGKILL") {
    if (this.process.exitCode !== null || this.process.signalCode !== null) return;
    this.process.kill(signal);
    await once(this.process, "exit");
  }
  async end() {
    await this.kill();
    try { rmSync(this.dir, { recursive: true, force: true }); } catch { /* a mounted disk is taken down by its test */ }
    rmSync(this.clock_file, { force: true });
  }
  async state() {
    return (await fetch(this.url + "state.json")).json();
  }
}

export async function open_browser(options = {}) {
  const profile = mkdtempSync(join(tmpdir(), "handlot-profile-"));
  const context = await chromium.launchPersistentContext(profile, {
    executablePath: browser_program,
    headless: true,
    args: ["--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run", "--disable-background-networking",
      "--disable-component-update", "--disable-sync", "--autoplay-policy=no-user-gesture-required"],
    viewport: { width: 768, height: 1024 },
    ...options,
  });
  context.setDefaultTimeout(20000);
  context.profile = profile;
  return context;
}

export async function close_browser(context) {
  await context.close();
  rmSync(context.profile, { recursive: true, force: true });
}

/// Runs the body of a test; on a fault prints what server and page say; takes browser and server down in any case.
export async function played(bench, context, body) {
  try {
    await body();
  } catch (fault) {
    const pages = context.pages();
    const page = pages.find((p) => p.url() === bench.url) ?? pages[1];
    console.log(JSON.stringify(await bench.state().catch(String)), page && (await page.locator("#main").innerText().catch(String)));
    throw fault;
  } finally {
    await close_browser(context);
    await bench.end();
  }
}

/// Asks on the unit's own page for a step to be done again, and goes back.
export async function ask_again(page, bench, unit, step, why) {
  await page.goto(`${bench.url}unit/${unit}`);
  const form = page.locator("#amend form", { has: page.getByRole("button", { name: "To be done again" }) });
  await form.locator("select").selectOption(step);
  await form.locator("input[name=text]").fill(why);
  await form.getByRole("button").click();
  await page.locator("#history", { hasText: "to be done again" }).waitFor();
  await page.goto(bench.url);
}

/// Waits until the page shows the state of the server.
export async function settled(page, bench) {
  const { seq } = await bench.state();
  // Asked from here: a page behind others draws no frames, and would not look by itself.
  const deadline = Date.now() + 20000;
  for (;;) {
    const shown = await page.evaluate(() => Number(document.getElementById("main")?.dataset.seq));
    if (shown >= seq) return;
    if (Date.now() > deadline) throw new Error(`${page.url()} shows line ${shown}, the server has ${seq}: ${await page.locator("#link").textContent()}`);
    await new Promise((ok) => setTimeout(ok, 50));
  }
}

/// A value in the middle of what the page says is allowed.
export function good_value(limit) {
  const n = (limit.match(/-?\d+(?:\.\d+)?/g) ?? []).map(Number);
  if (n.length >= 2) return String((n[0] + n[1]) / 2);
  return n.length === 1 ? String(n[0]) : "1";
}

/// Fills in the checks of the step in hand: what may be ticked for all units at once is.
export async function fill_checks(page, bench) {
  for (let every = page.locator("#step .check.every").first(); await every.count(); every = page.locator("#step .check.every").first()) {
    const name = await every.getAttribute("data-check");
    await every.locator("button").click({ timeout: 3000 }).catch(() => {});
    await page.locator(`[data-check="${name}"]`).waitFor({ state: "detached" });
  }
  for (let i = 0; i < 400; ++i) {
    const row = page.locator("#step .check:not(:has(.mark)):has(form)").first();
    if ((await row.count()) === 0) return;
    const name = await row.getAttribute("data-check");
    const input = row.locator("input[name=value]");
    if (await input.count()) {
      const limit = row.locator(".limit");
      await input.fill(good_value((await limit.count()) ? await limit.textContent() : ""));
    }
    // The row may be drawn anew under the finger: what counts is that the mark appears.
    await page.locator(`[data-check="${name}"] button`).click({ timeout: 3000 }).catch(() => {});
    await page.locator(`[data-check="${name}"] .mark`).first().waitFor();
  }
  throw new Error("checks without end");
}

/// One touch: checks of what is in hand, then the one button. Returns what was done, or null when only waiting helps.
export async function one_touch(page, bench) {
  await settled(page, bench);
  const before = await bench.state();
  if (before.finished) return "finished";
  if (!before.now) return null;
  if (before.now.in_hand) await fill_checks(page, bench);
  await settled(page, bench);
  await page.locator("#step [data-primary]").first().click();
  const deadline = Date.now() + 15000;
  for (;;) {
    const now = await bench.state();
    if (now.seq > before.seq && JSON.stringify(now.now) !== JSON.stringify(before.now)) return now.now?.step ?? "";
    if (now.finished) return "finished";
    if (Date.now() > deadline) throw new Error(`nothing came of ${JSON.stringify(before.now)}: ${await page.locator("#said").textContent()}`);
    await new Promise((ok) => setTimeout(ok, 20));
  }
}

/// Lets the time pass that the next wait still needs.
export async function wait_for_next(bench) {
  const { timers } = await bench.state();
  const open = timers.filter((t) => t.until_ready_s > 0).map((t) => t.until_ready_s);
  bench.pass(open.length > 0 ? Math.min(...open) + 1 : 60);
  await new Promise((ok) => setTimeout(ok, 450));
}
