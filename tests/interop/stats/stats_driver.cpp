// Lets a script call the stats library: reads one job from a file of blank-separated words, prints `name
// value` lines with 17 digits. Jobs: mixed, dunnett, range, agree, line, groups, summary.
#include <thresh/stats/agreement.hpp>
#include <thresh/stats/distributions.hpp>
#include <thresh/stats/mixed_model.hpp>
#include <thresh/stats/repeatability.hpp>
#include <thresh/stats/summary.hpp>

#include <algorithm>
#include <charconv>
#include <cmath>
#include <cstdio>
#include <ctime>
#include <fmt/core.h>
#include <fstream>
#include <limits>
#include <stdexcept>
#include <string>
#include <vector>

namespace {

using namespace thresh::stats;

class Words {
  public:
    explicit Words(const std::string& path) : file_(path) {}
    std::string word() {
        std::string text;
        if (!(file_ >> text))
            throw std::runtime_error("the job ends too early");
        return text;
    }
    double number() {
        const std::string text = word();
        if (text == "Inf")
            return std::numeric_limits<double>::infinity();
        double value = 0.0;
        const auto result = std::from_chars(text.data(), text.data() + text.size(), value);
        if (result.ec != std::errc() || result.ptr != text.data() + text.size())
            throw std::runtime_error("`" + text + "` is no number");
        return value;
    }
    int whole() { return static_cast<int>(number()); }
    std::vector<double> numbers(int n) {
        std::vector<double> values;
        for (int i = 0; i < n; ++i)
            values.push_back(number());
        return values;
    }

  private:
    std::ifstream file_;
};

void tell(const std::string& name, double value) {
    fmt::print("{} {:.17g}\n", name, value);
}

Factor read_factor(Words& words, int n) {
    Factor factor;
    factor.name = words.word();
    factor.levels = words.whole();
    for (int i = 0; i < n; ++i)
        factor.level.push_back(words.whole() - 1);
    return factor;
}

// n y... covariates {name x...} fixed {name levels codes...} random {...} forms {m position weight ...};
// positions are those of the intercept (0), covariates and fixed levels in order.
int mixed(Words& words) {
    MixedModel model;
    const int n = words.whole();
    model.y = words.numbers(n);
    for (int left = words.whole(); left > 0; --left) {
        const std::string name = words.word();
        model.covariates.push_back({name, words.numbers(n)});
    }
    for (int left = words.whole(); left > 0; --left)
        model.fixed.push_back(read_factor(words, n));
    for (int left = words.whole(); left > 0; --left)
        model.random.push_back(read_factor(words, n));
    const std::clock_t begin = std::clock();
    const auto fit = fit_mixed_model(model);
    const double taken = static_cast<double>(std::clock() - begin) / CLOCKS_PER_SEC;
    if (!fit) {
        fmt::print("error {}\n", fit.error().message);
        return 1;
    }
    tell("converged", fit->converged() ? 1 : 0);
    tell("criterion", fit->reml_criterion());
    tell("seconds", taken); // of the processor, for the fit alone
    tell("steps", fit->steps());
    for (const Component& component : fit->components()) {
        tell("variance", component.variance);
        tell("boundary", component.at_boundary ? 1 : 0);
    }
    for (std::size_t r = 0; r < model.random.size(); ++r)
        for (int level = 0; level < model.random[r].levels; ++level)
            tell("blup", fit->coefficient(fit->random_position(r, level)));
    for (int left = words.whole(); left > 0; --left) {
        LinearForm form;
        for (int terms = words.whole(); terms > 0; --terms) {
            const auto position = static_cast<std::size_t>(words.whole());
            form.emplace_back(position, words.number());
        }
        const auto estimate = fit->estimate(form);
        tell("estimate", estimate ? estimate->value : std::numeric_limits<double>::quiet_NaN());
        tell("se", estimate ? estimate->se : std::numeric_limits<double>::quiet_NaN());
    }
    return 0;
}

// df side(0 both, 1 greater, 2 less) n t... loadings...
int dunnett(Words& words) {
    const double df = words.number();
    const auto side = static_cast<Side>(words.whole());
    const int n = words.whole();
    const auto t = words.numbers(n);
    const auto loadings = words.numbers(n);
    for (double p : dunnett_p(t, loadings, df, side))
        tell("p", p);
    tell("critical", dunnett_critical(0.05, loadings, df, side));
    return 0;
}

// n {q groups df}...
int range(Words& words) {
    for (int left = words.whole(); left > 0; --left) {
        const double q = words.number();
        const int groups = words.whole();
        const double df = words.number();
        tell("cdf", studentized_range_cdf(q, groups, df));
        tell("quantile", studentized_range_quantile(0.95, groups, df));
    }
    return 0;
}

int agree(Words& words) {
    const int n = words.whole();
    const auto nir = words.numbers(n);
    const auto reference = words.numbers(n);
    const auto result = agreement(nir, reference);
    if (!result)
        return 1;
    for (double value : {result->bias, result->sep, result->rmsep, result->bias_p, result->line->slope,
                         result->line->intercept, result->line->r2, result->slope_p, *result->rpd})
        tell("value", value);
    return 0;
}

// n x... y...: through the mean, then through the origin.
int line(Words& words) {
    const int n = words.whole();
    const auto x = words.numbers(n);
    const auto y = words.numbers(n);
    const auto free = fit_line(x, y);
    const auto origin = fit_through_origin(x, y);
    if (!free || !origin)
        return 1;
    for (double value : {free->intercept, free->slope, free->intercept_se, free->slope_se, free->residual_sd,
                         free->r2, origin->slope, origin->slope_se, origin->residual_sd})
        tell("value", value);
    return 0;
}

// n y... group...: equally many values in each group. One-way analysis of variance from the library's sums of
// squares, and the components of its mixed model.
int groups(Words& words) {
    const int n = words.whole();
    MixedModel model;
    model.y = words.numbers(n);
    Factor group{"group", {}, 0};
    for (int i = 0; i < n; ++i) {
        group.level.push_back(words.whole() - 1);
        group.levels = std::max(group.levels, group.level.back() + 1);
    }
    std::vector<std::vector<double>> values(static_cast<std::size_t>(group.levels));
    // From the overall mean, which is exact for values close to it: means of groups then keep their digits.
    const double centre = *mean(model.y);
    for (int i = 0; i < n; ++i)
        values[static_cast<std::size_t>(group.level[static_cast<std::size_t>(i)])].push_back(
            model.y[static_cast<std::size_t>(i)] - centre);
    std::vector<double> means;
    for (const auto& one : values)
        means.push_back(*mean(one));
    const auto within = repeatability_from_groups(model.y, group.level);
    const double each = static_cast<double>(values.front().size());
    const double between = each * sum_of_squares(means) / (group.levels - 1);
    tell("between", between);
    tell("within_sd", within->sd);
    tell("f", between / (within->sd * within->sd));
    model.random.push_back(group);
    const auto fit = fit_mixed_model(model);
    if (!fit) {
        fmt::print("error {}\n", fit.error().message);
        return 1;
    }
    tell("component", fit->components()[0].variance);
    tell("residual", fit->components()[1].variance);
    tell("boundary", fit->components()[0].at_boundary ? 1 : 0);
    return 0;
}

int summary(Words& words) {
    const int n = words.whole();
    const auto values = words.numbers(n);
    const Summary result = summarize(values);
    const auto grubbs = grubbs_test(values);
    for (double value : {*result.mean, *result.sd, *result.median, *quantile(values, 0.1),
                         *quantile(values, 0.75), *median_absolute_deviation(values), grubbs->statistic})
        tell("value", value);
    return 0;
}

} // namespace

int main(int argc, char** argv) {
    if (argc != 3)
        return 2;
    try {
        Words words(argv[2]);
        const std::string job = argv[1];
        return job == "mixed"     ? mixed(words)
               : job == "dunnett" ? dunnett(words)
               : job == "range"   ? range(words)
               : job == "agree"   ? agree(words)
               : job == "line"    ? line(words)
               : job == "groups"  ? groups(words)
               : job == "summary" ? summary(words)
                                  : 2;
    } catch (const std::exception& error) {
        fmt::print(stderr, "{}\n", error.what());
        return 2;
    }
}
