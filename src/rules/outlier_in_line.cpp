// outlier-in-line: a sample far from the other samples of its line once its environment is taken off. The
// spread is that of all lines of the trial together, so that one odd sample cannot hide in its own line's SD.
#include "rules/limits.hpp"
#include "rules/repeatability_sd.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <numeric>
#include <thresh/core/parallel.hpp>
#include <thresh/stats/distributions.hpp>
#include <thresh/stats/summary.hpp>
#include <unordered_map>

namespace thresh::rules {

namespace {

constexpr std::size_t kSamplesAPiece = 16384;
constexpr std::size_t kFewestResiduals = 12; // of a trial, before its spread means anything

constexpr Declaration kDeclared[] = {
    {"outlier-in-line", Severity::review, About::sample, Phase::repeats, Action::read_again,
     "a sample far from the other samples of its line",
     "it may be another line's packet, a swapped plot, or a reading error; it moves the line's mean and its "
     "SD most",
     "look at packet and plot; read again",
     "`outlier_percent` over all samples and key constituents of the trial; the "
     "spread is the robust SD of residuals (1.4826 MAD)"},
};

// A sample's mean for comparing, with the line and environment it belongs to.
struct Point {
    std::uint32_t sample;
    std::uint32_t line;        // counted from the first line of the trial
    std::uint32_t environment; // number of its name
    RowId row;                 // its first usable reading
    double value = 0, residual = 0;
};

// Plants of segregating generations differ by right.
bool segregates(const batch::SampleList& list, std::uint32_t entry) {
    const std::string_view kind = list.text(entry, batch::ListText::kind);
    const std::string_view generation = list.text(entry, batch::ListText::generation);
    return kind == "single_plant" || (kind == "bulk" && (generation == "F1" || generation == "F2" ||
                                                         generation == "F3" || generation == "F4"));
}

struct Outlier {
    std::uint32_t sample;
    RowId row;
    std::string words;
};

// The samples of one trial and material, and the number of each one's environment.
struct Trial {
    std::vector<std::uint32_t> samples, environment;
    std::unordered_map<std::string_view, std::uint32_t> numbers;

    void add(std::uint32_t sample, std::string_view in) {
        if (samples.empty() || in != last_) // neighbours mostly share it
            number_ = numbers.try_emplace(in, static_cast<std::uint32_t>(numbers.size())).first->second;
        last_ = in;
        samples.push_back(sample);
        environment.push_back(number_);
    }

  private:
    std::string_view last_;
    std::uint32_t number_ = 0;
};

// One constituent of a trial.
struct Task {
    std::uint8_t material;
    ConstituentId constituent;
    std::size_t key;    // its place among the material's key constituents
    std::size_t family; // constituents that share the chance of a false alarm
    const Trial* trial;
    std::vector<Outlier> found;
};

class OutlierInLine final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }
    bool has_texts() const override { return true; }

    void check_batch(const Evidence& evidence, Sink& sink) const override {
        // Trials and materials apart from each other.
        std::map<std::pair<std::string_view, std::uint8_t>, Trial> trials;
        auto last = trials.end();
        const batch::Batch& batch = evidence.batch;
        for (std::uint32_t s = 0; s < batch.samples.size(); ++s) {
            if (batch.samples[s].line == kNone || batch.rows_of(s).empty())
                continue;
            if (segregates(batch.list, batch.samples[s].entry))
                continue;
            const std::uint8_t material = batch.material[batch.rows_of(s).front()];
            if (material == batch::kNoMaterial)
                continue;
            const std::string_view name = batch.lines[batch.samples[s].line].trial;
            if (last == trials.end() ||
                last->first != std::pair(name, material)) // neighbours mostly share it
                last = trials.try_emplace({name, material}).first;
            last->second.add(s, batch.place_of(batch.plots[batch.samples[s].plot]).environment);
        }
        std::vector<Task> tasks;
        for (const auto& [key, trial] : trials)
            if (const Material* material = evidence.rules.material(key.second))
                for (std::size_t k = 0; k < material->key.size(); ++k)
                    if (material->key[k] != constituent::moisture)
                        tasks.push_back({key.second, material->key[k], k, material->key.size(), &trial, {}});
        parallel_for(tasks.size(), evidence.rules.batch.threads,
                     [&](std::size_t t) { check_trial(evidence, tasks[t]); });
        // A sample whose readings stand under its neighbour's ID is told already.
        std::vector<bool> shifted(batch.samples.size(), false);
        const auto queue = code_index("queue-shifted");
        for (const Finding& finding : evidence.so_far.findings)
            if (finding.code == *queue && !finding.settled && batch.sample[finding.row] != kNone)
                shifted[batch.sample[finding.row]] = true;
        for (Task& task : tasks)
            for (Outlier& found : task.found) {
                if (shifted[found.sample])
                    continue;
                sink.subject(0, About::sample, found.sample, found.row, task.constituent, {},
                             sink.keep(std::move(found.words)));
            }
    }

    FindingText describe(unsigned, const Finding& finding, const Evidence& evidence) const override {
        FindingText text;
        text.value = raw_of(evidence, finding.row, finding.constituent);
        text.message = evidence.so_far.details[finding.detail];
        return text;
    }

  private:
    // Of the samples from `first` on.
    static std::vector<Point> points_of(const Evidence& evidence, const Task& task, std::size_t first) {
        const batch::Batch& batch = evidence.batch;
        const std::vector<std::uint32_t>& samples = task.trial->samples;
        const std::size_t last = std::min(samples.size(), first + kSamplesAPiece);
        std::vector<Point> points;
        points.reserve(last - first);
        std::vector<double> values;
        for (std::size_t i = first; i < last; ++i) {
            const std::uint32_t s = samples[i];
            values.clear();
            RowId first_row = kNone;
            for (std::size_t place = batch.sample_begin[s]; place < batch.sample_begin[s + 1]; ++place) {
                if (evidence.key_values->material(place) != task.material)
                    continue;
                const double value = evidence.key_values->of(place)[task.key];
                if (std::isnan(value))
                    continue;
                if (first_row == kNone)
                    first_row = batch.sample_rows[place];
                values.push_back(value);
            }
            if (!values.empty())
                points.push_back({s, batch.samples[s].line, task.trial->environment[i], first_row,
                                  *stats::mean(values), 0});
        }
        return points;
    }

    // Side by side, for there are fewer key constituents than threads, or one more.
    static std::vector<Point> points_of(const Evidence& evidence, const Task& task) {
        std::vector<std::vector<Point>> pieces((task.trial->samples.size() + kSamplesAPiece - 1) /
                                               kSamplesAPiece);
        parallel_for(pieces.size(), evidence.rules.batch.threads, [&](std::size_t piece) {
            pieces[piece] = points_of(evidence, task, piece * kSamplesAPiece);
        });
        std::vector<Point> points;
        points.reserve(task.trial->samples.size());
        for (std::vector<Point>& piece : pieces) {
            points.insert(points.end(), piece.begin(), piece.end());
            std::vector<Point>().swap(piece);
        }
        // Lines of a trial lie side by side, so arrays by line are no longer than the trial.
        std::uint32_t first_line = kNone;
        for (const Point& p : points)
            first_line = std::min(first_line, p.line);
        for (Point& p : points)
            p.line -= first_line;
        return points;
    }

    // Places in `points`, those of one key together: sorted by counting, for keys are small numbers.
    template <typename Key>
    static std::vector<std::uint32_t> order_by(const std::vector<Point>& points, Key Point::*key) {
        std::vector<std::uint32_t> next;
        for (const Point& p : points) {
            if (next.size() <= p.*key + 1)
                next.resize(p.*key + 2);
            ++next[p.*key + 1];
        }
        std::partial_sum(next.begin(), next.end(), next.begin());
        std::vector<std::uint32_t> order(points.size());
        for (std::uint32_t i = 0; i < points.size(); ++i)
            order[next[points[i].*key]++] = i;
        return order;
    }

    // Environment medians taken off, then line medians; medians so that an outlier stays where it is.
    static void take_off_effects(std::vector<Point>& points) {
        std::vector<double> values;
        const auto sweep = [&](const std::vector<std::uint32_t>& order, auto key, double Point::*from) {
            for (std::size_t first = 0, last = 0; first < order.size(); first = last) {
                values.clear();
                for (; last < order.size() && points[order[last]].*key == points[order[first]].*key; ++last)
                    values.push_back(points[order[last]].*from);
                const double middle = *stats::median_in_place(values);
                for (std::size_t i = first; i < last; ++i)
                    points[order[i]].residual = points[order[i]].*from - middle;
            }
        };
        const std::vector<std::uint32_t> by_line = order_by(points, &Point::line),
                                         by_environment = order_by(points, &Point::environment);
        sweep(by_line, &Point::line, &Point::value);
        sweep(by_environment, &Point::environment, &Point::residual);
        sweep(by_line, &Point::line, &Point::residual);
    }

    static void check_trial(const Evidence& evidence, Task& task) {
        std::vector<Point> points = points_of(evidence, task);
        if (points.size() < kFewestResiduals)
            return;
        take_off_effects(points);
        std::vector<std::size_t> count; // samples of each line
        std::vector<double> residuals;
        for (const Point& p : points) {
            count.resize(std::max<std::size_t>(count.size(), p.line + 1));
            ++count[p.line];
        }
        const auto fewest = static_cast<std::size_t>(evidence.rules.tests.outlier_samples);
        for (const Point& p : points)
            if (count[p.line] >= fewest)
                residuals.push_back(p.residual);
        std::size_t lines = 0; // that gave residuals
        for (const std::size_t samples_of_line : count)
            lines += samples_of_line > 0 && samples_of_line >= fewest;
        if (residuals.size() < kFewestResiduals)
            return;
        // Medians swallow a share of the spread: residuals of n values about their median have (n - 1)/n of
        // it.
        const double n = static_cast<double>(residuals.size()) / static_cast<double>(lines);
        const double spread =
            1.4826 * *stats::median_absolute_deviation(residuals) * std::sqrt(n / std::max(1.0, n - 1));
        if (spread <= 0)
            return;
        const double tests = static_cast<double>(residuals.size() * task.family);
        const double df = static_cast<double>(residuals.size() - std::min(residuals.size() - 2, lines));
        const double limit =
            spread * stats::t_quantile(1 - evidence.rules.tests.outlier_percent / 100 / 2 / tests, df);
        const auto& info = evidence.rules.constituents[task.constituent];
        for (const Point& p : points) {
            if (count[p.line] < fewest || std::abs(p.residual) <= limit)
                continue;
            const auto& line = evidence.batch.lines[evidence.batch.samples[p.sample].line];
            task.found.push_back(
                {p.sample, p.row,
                 fmt::format("`{}` is {} {} the other samples of `{}` in `{}` of dry matter, environment "
                             "taken off; the limit is {:.2f}",
                             evidence.batch.samples[p.sample].id,
                             shown(std::abs(p.residual), limit, info.decimals),
                             p.residual < 0 ? "below" : "above", line.name, info.name, limit)});
        }
    }
};

} // namespace

const Rule& rule_outlier_in_line() {
    static const OutlierInLine rule;
    return rule;
}

} // namespace thresh::rules
