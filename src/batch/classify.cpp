// Kind and material by the patterns of the rules, and the selection. Patterns are tried once a distinct text
// (case_matcher.hpp); a row costs a few look-ups. Work is cut by blocks.
#include "batch/stages.hpp"

#include "batch/case_matcher.hpp"
#include "batch/material_names.hpp"

#include <algorithm>
#include <array>
#include <span>
#include <thresh/batch/materials.hpp>
#include <thresh/core/parallel.hpp>

namespace thresh::batch {

namespace {

// Any field of `ignore` is enough, so each becomes a condition of its own.
std::vector<When> one_by_one(const When& when) {
    std::vector<When> each(7);
    each[0].analysis = when.analysis;
    each[1].sample = when.sample;
    each[2].source = when.source;
    each[3].instrument = when.instrument;
    each[4].calibration = when.calibration;
    each[5].material = when.material;
    each[6].from = when.from;
    each[6].to = when.to;
    return each;
}

// In order of precedence: standard, control, ignored.
std::vector<When> kind_cases(const Settings& settings) {
    When control;
    control.sample = settings.controls;
    std::vector<When> cases = {settings.standard, control};
    for (When& when : one_by_one(settings.ignore))
        cases.push_back(std::move(when));
    return cases;
}

// What a row is by the patterns.
struct Answer {
    Kind kind = Kind::seed;
    std::uint8_t own_material = kNoMaterial;
};

class Patterns {
  public:
    Patterns(const Settings& settings, const Readings& readings)
        : kinds_(kind_cases(settings), readings), materials_(material_cases(settings), readings) {
        for (const MaterialCase& material : settings.materials)
            material_of_case_.push_back(material_named(settings.material_names, material.name));
        material_of_case_.push_back(kNoMaterial);
        const TextPool& column = readings.pool(TextField::material);
        for (TextId id = 0; id < column.size(); ++id)
            stated_.push_back(material_named(settings.material_names, column[id]));
    }
    // Rows for which this is false get the same answer when they are of one file and differ in sample and
    // time only.
    bool stands_out(TextId sample) const {
        return !untimed_ || kinds_.stands_out(sample) || materials_.stands_out(sample);
    }
    Answer ask(const RowTexts& row) const {
        const std::size_t kind = kinds_.first(row);
        Answer answer;
        answer.kind = kind == 0               ? Kind::standard
                      : kind == 1             ? Kind::control
                      : kind == kinds_.none() ? Kind::seed
                                              : Kind::ignored;
        answer.own_material = row.material == kNoText ? kNoMaterial : stated_[row.material];
        if (answer.own_material == kNoMaterial)
            answer.own_material = material_of_case_[materials_.first(row)];
        return answer;
    }

  private:
    static std::vector<When> material_cases(const Settings& settings) {
        std::vector<When> cases;
        for (const MaterialCase& material : settings.materials)
            cases.push_back(material.when);
        return cases;
    }
    CaseMatcher kinds_, materials_;
    bool untimed_ = kinds_.untimed() && materials_.untimed();
    std::vector<std::uint8_t> material_of_case_, stated_;
};

// The answers for the last combinations of texts within one file: rows come from few analyses on few
// instruments.
class KeptAnswers {
  public:
    // Two texts a word: words in registers are compared sooner than four numbers just written.
    using Key = std::array<std::uint64_t, 2>;
    template <typename Ask>
    Answer answer(const Key& key, const Ask& ask) {
        Kept& kept =
            kept_[(key[0] * 5 + (key[0] >> 32) * 31 + key[1] * 3 + (key[1] >> 32) * 13) % kept_.size()];
        if (!kept.known || ((kept.key[0] ^ key[0]) | (kept.key[1] ^ key[1])) != 0)
            kept = {key, ask(), true};
        return kept.answer;
    }

  private:
    struct Kept {
        Key key{};
        Answer answer;
        bool known = false;
    };
    std::array<Kept, 64> kept_;
};

void classify(const Patterns& patterns, const Block& block, Kind* kind, std::uint8_t* own_material) {
    // What is written must not seem to change where columns lie.
    const TextColumn::View sample = block.texts(TextField::sample),
                           instrument = block.texts(TextField::instrument),
                           analysis = block.texts(TextField::analysis),
                           calibration = block.texts(TextField::calibration),
                           material = block.texts(TextField::material);
    KeptAnswers kept;
    for (std::size_t r = 0; r < block.rows; ++r) {
        const auto ask = [&] {
            return patterns.ask({block.file, sample[r], instrument[r], analysis[r], calibration[r],
                                 material[r], block.time_of(r)});
        };
        const Answer answer = patterns.stands_out(sample[r])
                                  ? ask()
                                  : kept.answer({std::uint64_t{instrument[r]} << 32 | analysis[r],
                                                 std::uint64_t{calibration[r]} << 32 | material[r]},
                                                ask);
        kind[r] = answer.kind;
        own_material[r] = answer.own_material;
    }
}

} // namespace

void classify(Batch& batch, const Settings& settings) {
    const Readings& readings = batch.readings;
    const Patterns patterns(settings, readings);
    batch.kind.resize(readings.rows);
    batch.own_material.resize(readings.rows);
    parallel_for(readings.blocks.size(), settings.threads, [&](std::size_t b) {
        const Block& block = readings.blocks[b];
        classify(patterns, block, batch.kind.data() + block.first, batch.own_material.data() + block.first);
    });
}

void settle_material(Batch& batch, const Settings& settings) {
    const std::vector<std::string>& names = settings.material_names;
    std::vector<std::uint8_t> listed(batch.samples.size(), kNoMaterial);
    std::string_view last; // most lists state the same material row after row
    std::uint8_t last_material = kNoMaterial;
    for (std::size_t s = 0; batch.list.states(ListText::material) && s < batch.samples.size(); ++s) {
        const std::string_view text = batch.list.text(batch.samples[s].entry, ListText::material);
        if (text != last)
            last_material = material_listed(settings, text);
        last = text;
        listed[s] = last_material;
    }
    const std::uint8_t assumed =
        settings.assume_material ? material_named(names, *settings.assume_material) : kNoMaterial;
    // Names that the selection takes; nothing selected takes all.
    std::vector<bool> taken(std::size_t{kNoMaterial} + 1, !settings.only_material);
    for (std::size_t i = 0; settings.only_material && i < names.size(); ++i)
        taken[i] = matches(*settings.only_material, names[i]);
    const TimeWindow window{settings.from, settings.to};

    batch.material.resize(batch.readings.rows);
    const bool own_holds = !batch.list.states(ListText::material) && window.open() && !settings.only_material;
    parallel_for(batch.readings.blocks.size(), settings.threads, [&](std::size_t b) {
        const Block& block = batch.readings.blocks[b];
        if (own_holds) {
            const auto own = std::span(batch.own_material).subspan(block.first, block.rows);
            std::ranges::replace_copy(own, batch.material.begin() + static_cast<std::ptrdiff_t>(block.first),
                                      kNoMaterial, assumed);
            return;
        }
        for (std::size_t r = 0; r < block.rows; ++r) {
            const std::size_t row = block.first + r;
            const std::uint8_t own = batch.own_material[row];
            std::uint8_t material = batch.sample[row] == kNone ? kNoMaterial : listed[batch.sample[row]];
            if (material == kNoMaterial || (own != kNoMaterial && presents(names[own], names[material])))
                material = own;
            if (material == kNoMaterial)
                material = assumed;
            batch.material[row] = material;
            Kind& kind = batch.kind[row];
            // Standards and controls wait for their session: select_standards().
            if (kind == Kind::seed && (!window.admits(block.time_of(r)) || !taken[material]))
                kind = Kind::outside_selection;
        }
    });
}

void select_standards(Batch& batch, const Settings& settings) {
    const TimeWindow window{settings.from, settings.to};
    if (window.open())
        return;
    const auto time_of = [&](RowId row) { return batch.block_of(row).time_of(batch.in_block(row)); };
    for (const Session& session : batch.sessions) {
        if (std::ranges::any_of(session.rows, [&](RowId row) { return window.admits(time_of(row)); }))
            continue;
        for (const RowId row : session.rows)
            if (batch.kind[row] == Kind::standard || batch.kind[row] == Kind::control)
                batch.kind[row] = Kind::outside_selection;
    }
}

} // namespace thresh::batch
