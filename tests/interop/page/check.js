// check.js PAGE...: opens each report.html as people do (phone, laptop, light, dark, without JavaScript, printed) and
// says what is wrong with it. A page named large.html is not given to the checker of accessibility: it has thousands of
// rows of the same kind, and the checker needs minutes.
const fs = require('fs');
const path = require('path');
const axe = require('axe-core');
const { launch, open } = require('./browser.js');
const inPage = require('./in_page.js');

const complaints = [];
const complain = (where, list) => complaints.push(...list.map(text => `${where}: ${text}`));

async function violations(page) {
  await page.evaluate(axe.source);
  const { violations } = await page.evaluate(() => globalThis.axe.run(document, { resultTypes: ['violations'] }));
  return violations.map(({ id, help, nodes }) => `axe ${id}: ${help}: ${nodes.length} times, first ${nodes[0].html.slice(0, 160)}`);
}

async function asSeen(browser, file, size, colorScheme) {
  const where = `${path.basename(file)} ${size} ${colorScheme}`;
  const { page, trouble, close } = await open(browser, file, { size, colorScheme });
  for (const measure of ['overflow', 'figures', 'heads', 'inert']) complain(where, await page.evaluate(inPage[measure]));
  // Both sizes and both colour schemes, in half the time.
  const checked = (size === 'phone') === (colorScheme === 'dark') && !file.endsWith('large.html');
  if (checked) complain(where, await violations(page));
  // Everything opened at once must still fit.
  await page.evaluate(() => document.querySelectorAll('details').forEach(part => { part.open = true; }));
  for (const measure of ['overflow', 'figures']) complain(`${where}, all open`, await page.evaluate(inPage[measure]));
  const rows = await page.evaluate(() => document.querySelectorAll('tr').length);
  complain(where, trouble);
  await close();
  return rows;
}

async function withoutScript(browser, file, rows) {
  const where = `${path.basename(file)} without JavaScript`;
  const { page, trouble, close } = await open(browser, file, { size: 'phone', javaScriptEnabled: false });
  for (const measure of ['overflow', 'hidden']) complain(where, await page.evaluate(inPage[measure]));
  const count = await page.locator('tr').count();
  if (count !== rows) complain(where, [`${count} rows of tables, with JavaScript ${rows}`]);
  complain(where, trouble);
  await close();
}

async function printed(browser, file) {
  const { page, close } = await open(browser, file, { colorScheme: 'dark' });
  const pdf = file.replace(/\.html$/, '.pdf');
  await page.pdf({ path: pdf, format: 'A4', printBackground: false });
  // What the printed pages must show again: the bar codes of the lists.
  const codes = await page.evaluate(() => [...document.querySelectorAll('svg.barcode')]
    .map(svg => svg.getAttribute('aria-label').replace('bar code ', '')));
  fs.writeFileSync(file.replace(/\.html$/, '.codes'), codes.map(code => code + '\n').join(''));
  await close();
}

(async () => {
  const browser = await launch();
  for (const file of process.argv.slice(2)) {
    const started = Date.now();
    const size = fs.statSync(file).size;
    if (size > 2 * 1024 * 1024) complain(path.basename(file), [`${size} bytes are more than 2 MB`]);
    let rows = 0;
    for (const window of ['phone', 'laptop'])
      for (const scheme of ['light', 'dark']) rows = await asSeen(browser, file, window, scheme);
    await withoutScript(browser, file, rows);
    await printed(browser, file);
    console.log(`${path.basename(file)}: ${size} bytes, ${rows} rows of tables, looked at in ${((Date.now() - started) / 1000).toFixed(1)} s`);
  }
  await browser.close();
  for (const text of complaints) console.log(text);
  process.exit(complaints.length ? 1 : 0);
})().catch(error => { console.error(error); process.exit(1); });
