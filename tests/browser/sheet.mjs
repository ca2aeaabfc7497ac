// The sheet's HTML in Chromium: axe-core finds nothing, nothing runs off the side of a phone, and print has every step whole.
//   node sheet.mjs FOLDER      FOLDER holds sheet.html and plan.json
// Ends with 77 (skipped) where chromium or the node modules are not there; `npm install` in this folder brings the modules.
import { execFileSync } from 'node:child_process';
import { existsSync, readFileSync, writeFileSync } from 'node:fs';
import { createRequire } from 'node:module';
import { resolve } from 'node:path';
import { pathToFileURL } from 'node:url';

const skipped = (why) => {
  console.log(`skipped: ${why}`);
  process.exit(77);
};

const require = createRequire(process.env.HANDLOT_NODE ? resolve(process.env.HANDLOT_NODE) + '/' : import.meta.url);
let chromium, axe;
try {
  ({ chromium } = require('playwright-core'));
  axe = readFileSync(require.resolve('axe-core/axe.min.js'), 'utf8');
} catch {
  skipped('no playwright-core or axe-core here: run npm install in tests/browser');
}
const browserPath = ['/usr/bin/chromium', '/usr/bin/chromium-browser'].find(existsSync);
if (!browserPath) skipped('no chromium');

const folder = resolve(process.argv[2]);
if (!existsSync(`${folder}/sheet.html`)) skipped(`no sheet in ${folder}: run the test 'sheets' first`);
const plan = JSON.parse(readFileSync(`${folder}/plan.json`, 'utf8'));
let faults = 0;
const check = (good, what) => {
  if (!good) {
    ++faults;
    console.log(`FAULT ${what}`);
  }
};
const plain = (text) => text.replace(/\s+/g, ' ');

const browser = await chromium.launch({ executablePath: browserPath, args: ['--no-sandbox'] });
const page = await (await browser.newContext({ javaScriptEnabled: true, offline: true })).newPage();
const outside = [];
page.on('request', (request) => {
  if (!/^(file|data):/.test(request.url())) outside.push(request.url());
});
await page.goto(pathToFileURL(`${folder}/sheet.html`).href);

for (const width of [360, 768, 1280]) {
  await page.setViewportSize({ width, height: 800 });
  const wide = await page.evaluate(() => document.scrollingElement.scrollWidth);
  check(wide <= width, `at ${width} px the page is ${wide} px wide`);
  await page.evaluate(axe);
  const found = await page.evaluate(() => axe.run());
  for (const violation of found.violations) {
    check(false, `at ${width} px axe: ${violation.id} (${violation.impact}): ${violation.nodes.length} x ${violation.nodes[0].html.slice(0, 160)}`);
  }
  check(found.passes.length > 15, `axe looked at only ${found.passes.length} rules`);
  if (process.argv[3]) await page.screenshot({ path: `${process.argv[3]}/sheet-${width}.png`, fullPage: true });
}
check(outside.length === 0, `the page asked for ${outside.join(' ')}`);
const steps = await page.$$eval('article.step', (list) => list.map((step) => step.id));
check(steps.length === plan.steps.length, `${steps.length} steps in the page, ${plan.steps.length} in plan.json`);

for (const format of ['A4', 'Letter']) {
  const file = `${folder}/printed-${format}.pdf`;
  writeFileSync(file, await page.pdf({ format, preferCSSPageSize: format === 'A4', printBackground: false }));
  let text;
  try {
    text = execFileSync('pdftotext', ['-layout', '-enc', 'UTF-8', file, '-']).toString();
  } catch {
    console.log('print not read: no pdftotext');
    break;
  }
  const pages = text.split('\f').map(plain).filter((t) => t.length > 0);
  let printed = 0;
  for (const step of plan.steps) {
    const heads = pages.filter((t) => t.includes(` ${step.number} ${step.title} `) && t.includes('Planned'));
    const whole = heads.filter((t) => {
      const at = t.indexOf(` ${step.number} ${step.title} `);
      return t.indexOf('top after this step', at) > 0 && t.indexOf('Step done', at) > 0;
    });
    check(whole.length > 0, `${format}: step ${step.number} '${step.title}' is not whole on any page`);
    printed += whole.length > 0 ? 1 : 0;
  }
  check(printed === plan.steps.length, `${format}: ${printed} of ${plan.steps.length} steps printed`);
  pages.forEach((t, i) => {
    check(t.includes(`page ${i + 1} of ${pages.length}`), `${format}: page ${i + 1} of ${pages.length} does not say so`);
    check(t.includes(plan.job.hash), `${format}: page ${i + 1} has no plan hash`);
  });
  console.log(`${format}: ${printed} steps on ${pages.length} pages`);
}
await browser.close();
console.log(faults === 0 ? 'sheet: no fault' : `sheet: ${faults} faults`);
process.exit(faults === 0 ? 0 : 1);
