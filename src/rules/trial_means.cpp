// Samples are dealt out to their trials in order of their IDs, where neighbours mostly share trial and
// environment; then means are taken side by side, some samples after the other: a season may be one trial.
#include "rules/trial_means.hpp"

#include "rules/key_values.hpp"

#include <algorithm>
#include <cmath>
#include <map>
#include <thresh/core/nothing.hpp>
#include <thresh/core/parallel.hpp>
#include <thresh/stats/summary.hpp>

namespace thresh::rules {

namespace {

constexpr std::size_t kSamplesAPiece = 4096;

// Plants of segregating generations differ by right.
bool segregates(const batch::SampleList& list, std::uint32_t entry) {
    const std::string_view kind = list.text(entry, batch::ListText::kind);
    const std::string_view generation = list.text(entry, batch::ListText::generation);
    return kind == "single_plant" || (kind == "bulk" && (generation == "F1" || generation == "F2" ||
                                                         generation == "F3" || generation == "F4"));
}

// Samples as they come, in order of their IDs.
class Gathering {
  public:
    void add(std::uint32_t sample, std::uint32_t line, const batch::Environment& environment) {
        if (samples_.empty() || environment != last_) // neighbours mostly share it
            number_ =
                numbers_.try_emplace(environment, static_cast<std::uint32_t>(numbers_.size())).first->second;
        last_ = environment;
        samples_.push_back({sample, line, number_});
    }
    TrialMeans trial(std::uint8_t material) {
        const auto before = [](const Listed& a, const Listed& b) { return a.line < b.line; };
        if (!std::is_sorted(samples_.begin(), samples_.end(), before))
            std::stable_sort(samples_.begin(), samples_.end(), before);
        TrialMeans trial;
        trial.samples.reserve(samples_.size());
        trial.environment.reserve(samples_.size());
        trial.material = material;
        trial.environments = static_cast<std::uint32_t>(numbers_.size());
        for (std::size_t i = 0; i < samples_.size(); ++i) {
            if (i == 0 || samples_[i].line != samples_[i - 1].line)
                trial.begin.push_back(i);
            trial.samples.push_back(samples_[i].sample);
            trial.environment.push_back(samples_[i].environment);
        }
        trial.begin.push_back(samples_.size());
        return trial;
    }

  private:
    struct Listed {
        std::uint32_t sample, line, environment;
    };
    std::vector<Listed> samples_;
    std::map<batch::Environment, std::uint32_t> numbers_;
    batch::Environment last_;
    std::uint32_t number_ = 0;
};

// Trials and materials apart from each other, in order of their names. A sample that was read as several
// materials stands in each.
std::vector<TrialMeans> trials_of(const Evidence& evidence) {
    const batch::Batch& batch = evidence.batch;
    std::map<std::pair<std::string_view, std::uint8_t>, Gathering> found;
    auto last = found.end();
    std::uint32_t last_line = kNone;
    const KeyValues& key_values = *evidence.key_values;
    std::vector<std::uint8_t> materials; // that the sample was read as
    for (std::uint32_t s = 0; s < batch.samples.size(); ++s) {
        const batch::Sample& sample = batch.samples[s];
        if (sample.line == kNone || segregates(batch.list, sample.entry))
            continue;
        materials.clear();
        for (std::size_t place = batch.sample_begin[s]; place < batch.sample_begin[s + 1]; ++place)
            if (const std::uint8_t material = key_values.material(place);
                material != batch::kNoMaterial && evidence.rules.material(material) != nullptr &&
                std::find(materials.begin(), materials.end(), material) == materials.end())
                materials.push_back(material);
        for (const std::uint8_t material : materials) {
            if (last == found.end() || last->first.second != material ||
                (sample.line != last_line && batch.lines[sample.line].trial != last->first.first))
                last = found.try_emplace({batch.lines[sample.line].trial, material}).first;
            last_line = sample.line;
            last->second.add(s, sample.line, environment_of(batch.place_of(batch.plots[sample.plot])));
        }
    }
    std::vector<TrialMeans> trials;
    for (auto& [key, gathering] : found)
        trials.push_back(gathering.trial(key.second));
    return trials;
}

// Samples [first, last) of a trial.
void fill_some(const Evidence& evidence, TrialMeans& trial, std::size_t first, std::size_t last) {
    const batch::Batch& batch = evidence.batch;
    const KeyValues& key_values = *evidence.key_values;
    const std::vector<ConstituentId>& keys = evidence.rules.material(trial.material)->key;
    std::vector<std::size_t> places;
    std::vector<double> values;
    for (std::size_t i = first; i < last; ++i) {
        const std::uint32_t s = trial.samples[i];
        places.clear();
        for (std::size_t place = batch.sample_begin[s]; place < batch.sample_begin[s + 1]; ++place)
            if (key_values.material(place) == trial.material)
                places.push_back(place);
        for (std::size_t k = 0; k < keys.size(); ++k) {
            if (keys[k] == constituent::moisture)
                continue;
            values.clear();
            for (const std::size_t place : places)
                if (const double value = key_values.of(place)[k]; !std::isnan(value))
                    values.push_back(value);
            trial.means[k * trial.samples.size() + i] = stats::mean(values).value_or(kNothing);
        }
    }
}

// Side by side, some samples after the other: a season may be one trial.
void fill_means(const Evidence& evidence, std::vector<TrialMeans>& trials) {
    std::vector<std::pair<std::size_t, std::size_t>> pieces; // trial, first sample
    for (std::size_t t = 0; t < trials.size(); ++t) {
        trials[t].means.resize(trials[t].samples.size() *
                               evidence.rules.material(trials[t].material)->key.size());
        for (std::size_t first = 0; first < trials[t].samples.size(); first += kSamplesAPiece)
            pieces.emplace_back(t, first);
    }
    parallel_for(pieces.size(), evidence.rules.batch.threads, [&](std::size_t piece) {
        const auto [t, first] = pieces[piece];
        fill_some(evidence, trials[t], first, std::min(trials[t].samples.size(), first + kSamplesAPiece));
    });
}

} // namespace

std::vector<TrialMeans> trial_means(const Evidence& evidence) {
    std::vector<TrialMeans> trials = trials_of(evidence);
    fill_means(evidence, trials);
    return trials;
}

} // namespace thresh::rules
