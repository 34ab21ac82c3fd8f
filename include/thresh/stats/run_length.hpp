// Average run lengths of control charts in control: how many points pass, on average, between two false
// signals. With them limits are chosen so that false alarms keep to a budget. Points are taken as independent
// normals about the centre; all lengths are in points, all limits in standard deviations of a point.
#pragma once

namespace thresh::stats {

// Two-sided chart of single points: a signal beyond +- `limit` > 0. 370.4 for 3.
double shewhart_run_length(double limit);
double shewhart_limit(double run_length); // > 1

// Two-sided tabular CUSUM, k >= 0, h > 0. By the integral equation of Page 1954 for each side, solved at the
// nodes of Gauss-Legendre quadrature; the two sides together signal twice as often (exact as long as both
// sums cannot be up at once, which holds for the usual k; Kemp 1961). About 168 for k = 0.5, h = 4, and 465
// for h = 5.
double cusum_run_length(double k, double h);
double cusum_decision(double k, double run_length); // h for a run length > 2

// Two-sided EWMA with its steady limits, 0 < lambda <= 1, `width` (L) > 0. By the integral equation of
// Crowder 1987, in the same way. About 500 for lambda 0.2 and L 2.962 (Lucas and Saccucci 1990).
double ewma_run_length(double lambda, double width);
double ewma_width(double lambda, double run_length); // L for a run length > 2

} // namespace thresh::stats
