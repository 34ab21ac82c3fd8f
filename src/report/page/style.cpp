// One column that is read on a phone, on a screen and on A4. Colours come from the figures' own (plot), so
// that page and figures change together between light, dark and print; their contrast is tested there.
#include "report/page/parts.hpp"

namespace thresh::report {

Literal page_style() {
    constexpr Literal kStyle = R"css(
* { box-sizing: border-box; }
html { color-scheme: light dark; scroll-padding-top: 1rem; }
body { margin: 0 auto; padding: 0 1rem 3rem; max-width: 76rem; background: var(--plot-paper); color: var(--plot-ink);
  font: 1rem/1.5 system-ui, "Liberation Sans", "DejaVu Sans", sans-serif; overflow-wrap: break-word; }
a { color: var(--plot-low); text-underline-offset: .15em; }
a:focus-visible, button:focus-visible, summary:focus-visible, input:focus-visible, [tabindex]:focus-visible {
  outline: 3px solid var(--plot-high); outline-offset: 2px; }
.skip { position: absolute; left: -99rem; }
.skip:focus { left: 1rem; top: .5rem; background: var(--plot-paper); padding: .5rem; z-index: 2; }
h1 { font-size: 1.7rem; line-height: 1.2; margin: 1.6rem 0 .2rem; }
h2 { font-size: 1.35rem; line-height: 1.25; margin: 3rem 0 .6rem; padding-top: .5rem;
  border-top: 4px solid var(--plot-main); }
h3 { font-size: 1.1rem; margin: 2rem 0 .4rem; }
h4 { font-size: 1rem; margin: 1.4rem 0 .2rem; }
p, ul { margin: .4rem 0 .8rem; max-width: 46rem; }
header p { color: var(--plot-soft); }
nav ol { display: flex; flex-wrap: wrap; gap: .2rem 1.2rem; padding: 0; margin: .8rem 0 1.4rem; list-style: none; }
nav a { display: inline-block; padding: .25rem 0; }
.answers { margin: 0; border-top: 1px solid var(--plot-axis); }
.answers > div { padding: .6rem 0 .7rem; border-bottom: 1px solid var(--plot-axis); display: grid;
  grid-template-columns: minmax(14rem, 1fr) 3fr; gap: .2rem 1.5rem; }
.answers dt { font-weight: 700; }
.answers dt .state { display: block; }
.answers dd { margin: 0; max-width: 46rem; }
.state { white-space: nowrap; font-weight: 600; }
.state .sign { display: inline-block; min-width: 1.3em; text-align: center; border: 2px solid; border-radius: 50%;
  line-height: 1.15; font-size: .85em; }
.good { color: var(--plot-edge); }
.look { color: var(--plot-high); }
.look .sign { border-radius: 0; }
.bad { color: var(--plot-cross); }
.bad .sign { border-style: double; border-width: 3px; border-radius: 0; }
.unknown { color: var(--plot-soft); }
.low { color: var(--plot-low); font-weight: 600; }
.high { color: var(--plot-high); font-weight: 600; }
.review { text-decoration: underline dotted; }
.provisional, .excluded { font-style: italic; color: var(--plot-soft); }
.check { color: var(--plot-check); }
.unit, .note, .legend, .empty { color: var(--plot-soft); font-size: .9em; }
.unit { font-weight: 400; }
.warn { border-left: 4px solid var(--plot-high); padding-left: .8rem; }
.words { position: absolute; width: 1px; height: 1px; overflow: hidden; clip-path: inset(50%); white-space: nowrap; }
.scroll { position: relative; overflow-x: auto; margin: .6rem 0 1rem; }
table { border-collapse: collapse; font-size: .92rem; line-height: 1.35; }
caption { text-align: left; color: var(--plot-soft); padding: .2rem 0; }
th, td { text-align: left; vertical-align: top; padding: .28rem .7rem .28rem 0; border-bottom: 1px solid var(--plot-grid);
  white-space: nowrap; }
thead th, tr.gap td, tr.box td { white-space: normal; overflow-wrap: normal; }
.long { white-space: normal; min-width: 12rem; max-width: 34rem; overflow-wrap: anywhere; }
th:last-child, td:last-child { padding-right: 0; }
thead th { vertical-align: bottom; border-bottom: 2px solid var(--plot-axis); }
thead .title { white-space: normal; }
thead .unit { display: block; font-size: .85em; }
tbody th { font-weight: 600; }
.name { max-width: 14rem; white-space: normal; overflow-wrap: anywhere; min-width: 5rem; }
tbody th.long { font-weight: 400; max-width: 16rem; }
.number { text-align: right; font-variant-numeric: tabular-nums; overflow-wrap: normal; }
.lines tbody th { position: sticky; left: 0; background: var(--plot-paper); min-width: 6rem; max-width: 12rem; }
.sum th, .sum td { border-top: 2px solid var(--plot-axis); font-weight: 700; }
tr.gap td { color: var(--plot-soft); font-style: italic; }
tr.box td { font-weight: 700; background: var(--plot-band); color: var(--plot-ink); padding: .3rem .5rem; }
.pull td, .pull th { padding-top: .45rem; padding-bottom: .45rem; }
.tick input { width: 1.3rem; height: 1.3rem; margin: 0; accent-color: var(--plot-main); }
.bars { min-width: 12rem; }
.bars svg { display: block; }
th button { font: inherit; color: var(--plot-low); background: none; border: 0; padding: .2rem .3rem; cursor: pointer; }
.filter { display: flex; flex-wrap: wrap; align-items: baseline; gap: .5rem; font-size: .92rem; margin: .6rem 0 0; }
.filter input { font: inherit; color: inherit; background: var(--plot-paper); border: 1px solid var(--plot-axis);
  padding: .2rem .4rem; }
figure { margin: 1.2rem 0; min-width: 0; }
figcaption { margin-bottom: .3rem; max-width: 46rem; }
.gallery { display: grid; grid-template-columns: repeat(auto-fill, minmax(min(100%, 22rem), 1fr)); gap: 0 1.5rem; }
details { margin: .3rem 0 1rem; }
summary { cursor: pointer; color: var(--plot-soft); padding: .2rem 0; }
code, pre { font-family: "Liberation Mono", "DejaVu Sans Mono", monospace; font-size: .9em; }
pre { overflow: auto; max-height: 40rem; border: 1px solid var(--plot-grid); padding: .8rem; }
footer { margin-top: 3rem; border-top: 1px solid var(--plot-axis); color: var(--plot-soft); font-size: .9rem; }
@media (max-width: 40rem) {
  .answers > div { display: block; }
  .long { min-width: 13rem; }
}
@media print {
  @page { size: A4; margin: 14mm 12mm; }
  body { max-width: none; padding: 0; font-size: 9.5pt; }
  nav, .skip, .filter, summary, th button { display: none; }
  h2 { break-after: avoid; margin-top: 1.6rem; }
  h3, h4, caption, figcaption { break-after: avoid; }
  #todo { break-before: page; }
  #lines { break-before: page; }
  .scroll { overflow: visible; }
  table { font-size: 8pt; width: 100%; }
  th, td { padding-right: .4rem; }
  .long { min-width: 0; }
  .lines { font-size: 7pt; }
  .lines tbody th { position: static; min-width: 0; }
  .lines td .unit { display: block; }
  thead { display: table-header-group; break-inside: avoid; break-after: avoid; }
  tbody tr:first-child { break-before: avoid; }
  svg.plot { max-height: 235mm; }
  section, .gallery { orphans: 1; widows: 1; }
  .gallery { display: block; }
  .gallery figcaption { font-size: .85em; }
  tr, figure, .answers > div { break-inside: avoid; }
  tr.box { break-after: avoid; }
  tbody tr:first-child { break-before: avoid; }
  .bars { min-width: 0; }
  a { color: inherit; text-decoration: none; }
}
@media (min-width: 72rem) {
  figure { display: inline-block; vertical-align: top; width: 33rem; margin-right: 1.5rem; }
  .gallery figure { width: auto; margin-right: 0; }
}
@media print {
  figure, .gallery figure { display: inline-block; vertical-align: top; width: 48%; margin-right: 1.5%; }
  .gallery figure { width: 31%; }
}
)css";
    return kStyle;
}

} // namespace thresh::report
