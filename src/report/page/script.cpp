// Sorting and filtering for those who allow scripts. The page is whole without: the script only adds buttons
// and a field. It holds neither `<` nor `&`, so that the page stays well-formed.
#include "report/page/parts.hpp"

namespace thresh::report {

Literal page_script() {
    constexpr Literal kScript = R"js(
(function () {
  'use strict';
  var number = 0;
  function text(row, at) {
    var cell = row.cells[at];
    return cell ? cell.textContent.trim() : '';
  }
  function value(words) {
    var found = words.match(/^[-+]?[0-9]+([.][0-9]+)?(?![0-9-])/);
    return found ? parseFloat(found[0]) : NaN;
  }
  function compare(a, b, at, turn) {
    var left = text(a, at), right = text(b, at);
    if (left === '' || right === '') { return (left === '' ? 1 : 0) - (right === '' ? 1 : 0); }
    var x = value(left), y = value(right);
    if (x === x ? y === y : false) { if (x !== y) { return turn * (x - y); } }
    return turn * left.localeCompare(right, undefined, { numeric: true });
  }
  function enrich(table) {
    var body = table.tBodies[0], heads = Array.prototype.slice.call(table.tHead.rows[0].cells);
    var all = Array.prototype.slice.call(body.rows);
    var rows = all.filter(function (row) { return !row.classList.contains('gap'); });
    if (4 > rows.length) { return; }
    heads.forEach(function (head, at) {
      var button = document.createElement('button');
      button.type = 'button';
      button.textContent = '\u2195';
      button.setAttribute('aria-label', 'Sort by ' + head.textContent.trim());
      head.firstElementChild.appendChild(document.createTextNode(' '));
      head.firstElementChild.appendChild(button);
      button.addEventListener('click', function () {
        var turn = head.getAttribute('aria-sort') === 'ascending' ? -1 : 1;
        heads.forEach(function (other) {
          other.removeAttribute('aria-sort');
          other.querySelector('button').textContent = '\u2195';
        });
        head.setAttribute('aria-sort', turn > 0 ? 'ascending' : 'descending');
        button.textContent = turn > 0 ? '\u25b4' : '\u25be';
        rows.map(function (row, i) { return [row, i]; })
          .sort(function (a, b) { return compare(a[0], b[0], at, turn) || a[1] - b[1]; })
          .forEach(function (pair) { body.appendChild(pair[0]); });
        all.forEach(function (row) { if (row.classList.contains('gap')) { body.appendChild(row); } });
      });
    });
    var field = document.createElement('p'), label = document.createElement('label');
    var input = document.createElement('input'), told = document.createElement('span');
    number += 1;
    field.className = 'filter';
    label.textContent = 'Filter: ' + table.caption.textContent;
    label.htmlFor = input.id = 'filter-' + number;
    input.type = 'search';
    told.setAttribute('role', 'status');
    field.appendChild(label);
    field.appendChild(input);
    field.appendChild(told);
    input.addEventListener('input', function () {
      var wanted = input.value.toLowerCase(), seen = 0;
      rows.forEach(function (row) {
        row.hidden = row.textContent.toLowerCase().indexOf(wanted) === -1;
        if (!row.hidden) { seen += 1; }
      });
      told.textContent = wanted === '' ? '' : seen + ' of ' + rows.length + ' rows';
    });
    table.parentNode.parentNode.insertBefore(field, table.parentNode);
  }
  Array.prototype.forEach.call(document.querySelectorAll('table.sortable'), enrich);
})();
)js";
    return kScript;
}

} // namespace thresh::report
