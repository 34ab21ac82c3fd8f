// The one place of colours. Text and marks are told apart from the ground by the contrast that WCAG 2.2 asks
// for (4.5:1 for text, 3:1 for marks); a test computes it from the text below for each of the three schemes.
// Low is blue and high is orange everywhere; orange and blue stay apart for all common kinds of colour
// vision.
#include <thresh/plot/figure.hpp>

namespace thresh::plot {

const std::string& style_sheet() {
    static const std::string text = R"(:root {
  --plot-paper: #ffffff; --plot-ink: #1b1b1b; --plot-soft: #555555; --plot-axis: #767676; --plot-grid: #e2e2e2;
  --plot-band: #e4efe4; --plot-edge: #467246; --plot-main: #3d4b5a; --plot-check: #7a1fa2; --plot-square: #00695c;
  --plot-cross: #96184f; --plot-plus: #6b5d00; --plot-low: #0b5cad; --plot-high: #b04400;
}
@media (prefers-color-scheme: dark) {
  :root {
    --plot-paper: #17191c; --plot-ink: #f0f0f0; --plot-soft: #b9bcc1; --plot-axis: #8d9299; --plot-grid: #34383e;
    --plot-band: #22332a; --plot-edge: #7fb587; --plot-main: #b9c6d4; --plot-check: #d7a6f2; --plot-square: #5fc9b8;
    --plot-cross: #f29bc0; --plot-plus: #d6cb60; --plot-low: #7db7f5; --plot-high: #ffa25c;
  }
}
@media print {
  :root {
    --plot-paper: #ffffff; --plot-ink: #000000; --plot-soft: #333333; --plot-axis: #555555; --plot-grid: #d5d5d5;
    --plot-band: #ececec; --plot-edge: #333333; --plot-main: #222222; --plot-check: #4d0f6b; --plot-square: #003d36;
    --plot-cross: #5e0d30; --plot-plus: #3d3500; --plot-low: #003e80; --plot-high: #8f3900;
  }
  svg.plot { break-inside: avoid; }
}
svg.plot { display: block; max-width: 100%; height: auto; background: var(--plot-paper); }
svg.spark { display: inline-block; vertical-align: middle; }
svg.barcode { max-width: none; }
.plot text { fill: var(--plot-ink); }
.plot .halo { stroke: var(--plot-paper); stroke-width: 3px; paint-order: stroke; }
.plot text.soft { fill: var(--plot-soft); }
.plot text.low { fill: var(--plot-low); }
.plot text.high { fill: var(--plot-high); }
.plot .grid { stroke: var(--plot-grid); fill: none; }
.plot .axis { stroke: var(--plot-axis); fill: none; }
.plot .rule { stroke: var(--plot-ink); fill: none; }
.plot .edge { stroke: var(--plot-edge); fill: none; }
.plot .band { fill: var(--plot-band); stroke: none; }
.plot .bar { fill: var(--plot-main); stroke: none; }
.plot .trace { stroke: var(--plot-main); fill: none; }
.plot .mean { stroke: var(--plot-ink); fill: none; }
.plot .reach { fill: var(--plot-axis); stroke: none; }
.plot .spread { fill: var(--plot-main); stroke: none; }
.plot .circle { fill: var(--plot-main); stroke: var(--plot-main); }
.plot .ring { fill: var(--plot-paper); stroke: var(--plot-main); }
.plot .check { fill: var(--plot-check); stroke: var(--plot-check); }
.plot .square { fill: var(--plot-square); stroke: var(--plot-square); }
.plot .cross { fill: none; stroke: var(--plot-cross); }
.plot .plus { fill: none; stroke: var(--plot-plus); }
.plot .low { fill: var(--plot-low); stroke: var(--plot-low); }
.plot .high { fill: var(--plot-high); stroke: var(--plot-high); }
.plot text.low, .plot text.high { stroke: none; }
.plot .hollow { fill: var(--plot-paper); }
.plot .hatch-low { fill: var(--plot-paper); stroke: var(--plot-low); }
.plot .hatch-high { fill: var(--plot-paper); stroke: var(--plot-high); }
)";
    return text;
}

} // namespace thresh::plot
