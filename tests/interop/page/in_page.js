// What is measured inside the page. Each function returns a list of complaints; an empty list is good.

// Nothing is wider than the window but what scrolls in a frame of its own.
exports.overflow = () => {
  const width = document.documentElement.clientWidth, bad = [];
  if (document.documentElement.scrollWidth > width)
    bad.push(`the page is ${document.documentElement.scrollWidth} px wide in a window of ${width}`);
  return bad;
};

// Texts of figures as the browser sets them: inside the figure, none over another; marks where they can be seen.
exports.figures = () => {
  const bad = [];
  for (const svg of document.querySelectorAll('svg.plot')) {
    if (!svg.getClientRects().length) continue; // in a closed part of the page
    const name = svg.querySelector('title')?.textContent || 'spark';
    const [, , width, height] = svg.getAttribute('viewBox').split(' ').map(Number);
    const boxes = [...svg.querySelectorAll('text')].map(text => ({ text: text.textContent, ...box(text) }));
    boxes.forEach((one, i) => {
      if (one.left < -1 || one.top < -1 || one.right > width + 1 || one.bottom > height + 1)
        bad.push(`${name}: '${one.text.slice(0, 60)}' is cut off`);
      for (const two of boxes.slice(0, i))
        if (one.left < two.right && two.left < one.right && one.top + 3 < two.bottom - 3 && two.top + 3 < one.bottom - 3)
          bad.push(`${name}: '${one.text.slice(0, 60)}' lies over '${two.text.slice(0, 60)}'`);
    });
    const scale = svg.getBoundingClientRect().width / width;
    if (scale * 14 < 9) bad.push(`${name}: text is ${(scale * 14).toFixed(1)} px high`);
  }
  function box(text) {
    const { x, y, width, height } = text.getBBox();
    return { left: x, top: y, right: x + width, bottom: y + height };
  }
  return bad;
};

// Words of a table's head are never broken in two: each head cell is as wide as its longest word.
exports.heads = () => {
  const bad = new Set();
  const range = document.createRange();
  for (const cell of document.querySelectorAll('thead th')) {
    const walker = document.createTreeWalker(cell, NodeFilter.SHOW_TEXT);
    for (let node = walker.nextNode(); node; node = walker.nextNode())
      for (const word of node.data.matchAll(/[\p{L}\p{N}]+/gu)) {
        range.setStart(node, word.index);
        range.setEnd(node, word.index + word[0].length);
        if (range.getClientRects().length > 1) bad.add(`head '${cell.textContent}': '${word[0]}' is broken in two`);
      }
  }
  return [...bad];
};

// What a reader without JavaScript cannot reach: hidden parts outside of <details>, which opens by itself.
exports.hidden = () => {
  const bad = [];
  for (const element of document.querySelectorAll('main *, body > *')) {
    if (element.closest('svg, script, style, details, datalist, template') || element.matches('script, style')) continue;
    const style = getComputedStyle(element);
    if ((style.display === 'none' || style.visibility === 'hidden') && element.textContent.trim())
      bad.push(`<${element.tagName.toLowerCase()} class="${element.className}"> is hidden: '${element.textContent.slice(0, 60)}'`);
  }
  return bad;
};

// Marks by which a page shows that it was attacked with success.
exports.inert = () => {
  const bad = [];
  if (document.querySelector('img, iframe, object, embed, link[rel=stylesheet], script[src]'))
    bad.push('there is an element that loads something');
  for (const element of document.querySelectorAll('*'))
    for (const { name } of element.attributes)
      if (name.startsWith('on') || name === 'style') bad.push(`<${element.tagName}> has an attribute ${name}`);
  const ids = [...document.querySelectorAll('[id]')].map(element => element.id);
  if (new Set(ids).size !== ids.length) bad.push('an id is there twice');
  return bad;
};
