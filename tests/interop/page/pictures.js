// pictures.js PAGE FOLDER PDF: what a reader sees first on a laptop, on a phone (dark) and the lines of a trial; PDF as printed.
const { launch, open } = require('./browser.js');

(async () => {
  const [file, folder, pdf] = process.argv.slice(2);
  const browser = await launch();
  const laptop = await open(browser, file, { size: 'laptop' });
  await laptop.page.setViewportSize({ width: 1100, height: 760 });
  await laptop.page.screenshot({ path: `${folder}/laptop.png` });
  await laptop.page.setViewportSize({ width: 620, height: 760 });
  await laptop.page.locator('#lines h3', { hasText: 'SB26-ELITE' }).first().evaluate(head => head.scrollIntoView());
  await laptop.page.screenshot({ path: `${folder}/lines.png` });
  await laptop.page.pdf({ path: pdf, format: 'A4' });
  await laptop.close();
  const phone = await open(browser, file, { size: 'phone', colorScheme: 'dark' });
  await phone.page.screenshot({ path: `${folder}/phone.png` });
  await phone.close();
  await browser.close();
})().catch(error => { console.error(error); process.exit(1); });
