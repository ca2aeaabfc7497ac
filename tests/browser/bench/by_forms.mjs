// by_forms.mjs: drives a bench by the page's own forms, as a browser without script does: quick, every step and check.
import assert from "node:assert/strict";
import { good_value } from "./bench.mjs";

export const plain = (text) => text.replaceAll("&quot;", '"').replaceAll("&#39;", "'").replaceAll("&lt;", "<").replaceAll("&gt;", ">").replaceAll("&amp;", "&");

/// The forms of the page: hidden fields, whether a value is asked for, and the button.
function forms(html) {
  return [...html.matchAll(/<form method="post" action="\/do"[^>]*>(.*?)<\/form>/gs)].map(([all, inside]) => ({
    at: html.indexOf(all),
    fields: Object.fromEntries([...inside.matchAll(/<input type="hidden" name="([^"]+)" value="([^"]*)"/g)].map((m) => [m[1], plain(m[2])])),
    primary: inside.includes("data-primary"),
    value: /name="value" inputmode/.test(inside),
  }));
}

const post = (bench, fields) => fetch(bench.url + "do", { method: "POST", redirect: "manual", body: new URLSearchParams(fields),
  headers: { Origin: bench.url.slice(0, -1), "Content-Type": "application/x-www-form-urlencoded", Accept: "application/json" } });

export async function send(bench, fields) {
  const answer = await post(bench, fields);
  assert.equal(answer.status, 200, `${JSON.stringify(fields)}: ${await answer.clone().text()}`);
}

/// Every check of what is in hand, unit by unit. Returns how many.
async function fill(bench, html) {
  let sent = 0;
  for (const form of forms(html).filter((f) => f.fields.act === "tick" || f.fields.act === "value")) {
    const row = html.slice(html.lastIndexOf('<li class="check', form.at), form.at);
    if (row.includes('class="mark') || row.startsWith('<li class="check every"')) continue;
    const limit = /class="limit">\(([^)]*)/.exec(row)?.[1] ?? "";
    await send(bench, form.value ? { ...form.fields, value: good_value(plain(limit)) } : form.fields);
    ++sent;
  }
  return sent;
}

/// The next touch, or the time until there is one. `takes` says how long a step keeps the hands, in seconds.
/// Returns what was sent: {sent, waited, finished}.
export async function next_by_forms(bench, takes = () => 0) {
  const state = await bench.state();
  if (state.finished) return { sent: 0, waited: 0, finished: true };
  if (!state.now) {
    const open = state.timers.filter((t) => t.until_ready_s > 0).map((t) => t.until_ready_s);
    bench.pass(Math.min(600, ...open.map((s) => s + 1)));  // the air clears without a timer
    return { sent: 0, waited: 1, finished: false };
  }
  let sent = 0;
  if (state.now.in_hand) {
    bench.pass(takes(state.now));
    sent += await fill(bench, await (await fetch(bench.url)).text());
  }
  const all = forms(await (await fetch(bench.url)).text());
  const primary = all.find((f) => f.primary);
  // What is late is begun with a reason.
  const late = all.find((f) => f.fields.act === "start" && f.fields.step === state.now.step);
  assert.ok(primary ?? late, `nothing to touch: ${JSON.stringify(state.now)}`);
  const fields = (primary ?? late).fields;
  const answer = await post(bench, fields);
  if (answer.status === 409 && (await answer.json()).insist) await send(bench, { ...fields, text: "late: done at once, as the page says" });
  else assert.equal(answer.status, 200, JSON.stringify(fields));
  return { sent: sent + 1, waited: 0, finished: false };
}
