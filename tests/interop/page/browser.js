// The browser of these tests: Debian's Chromium, driven without a network of its own.
const { chromium } = require('playwright-core');

const flags = ['--headless', '--no-sandbox', '--disable-gpu', '--disable-quic', '--no-first-run',
  '--disable-background-networking', '--disable-component-update', '--disable-sync'];

exports.launch = () => chromium.launch({ executablePath: '/usr/bin/chromium', args: flags });

// Sizes in CSS px: a phone held upright and a common laptop.
exports.sizes = { phone: { width: 390, height: 844 }, laptop: { width: 1366, height: 768 } };

// Opens a file and gathers what a page that stands alone never does: console messages, errors, requests of others.
exports.open = async (browser, file, { size = 'laptop', colorScheme = 'light', javaScriptEnabled = true } = {}) => {
  const context = await browser.newContext({ viewport: exports.sizes[size], colorScheme, javaScriptEnabled });
  context.setDefaultTimeout(120000); // a busy machine is slow, not wrong
  const page = await context.newPage();
  const trouble = [];
  page.on('console', message => {
    if (['error', 'warning'].includes(message.type())) trouble.push(`console: ${message.text()}`);
  });
  page.on('pageerror', error => trouble.push(`script: ${error.message}`));
  page.on('dialog', dialog => { trouble.push(`dialog: ${dialog.message()}`); dialog.dismiss(); });
  page.on('request', request => {
    if (request.url().split('#')[0] !== `file://${file}`) trouble.push(`request: ${request.url().slice(0, 200)}`);
  });
  await page.goto(`file://${file}`);
  return { page, trouble, close: () => context.close() };
};
