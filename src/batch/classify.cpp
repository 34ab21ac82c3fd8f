// Kind and material by the patterns of the rules, and the selection. Patterns are tried once a distinct text
// (case_matcher.hpp); a row costs a few look-ups. Work is cut by blocks.
#include "batch/stages.hpp"

#include "batch/case_matcher.hpp"
#include "batch/words.hpp"

#include <array>
#include <thresh/core/parallel.hpp>

namespace thresh::batch {

namespace {

RowTexts texts_of(const Block& block, std::size_t row) {
    return {block.file,
            block.text_of(TextField::sample, row),
            block.text_of(TextField::instrument, row),
            block.text_of(TextField::analysis, row),
            block.text_of(TextField::calibration, row),
            block.text_of(TextField::material, row),
            block.time_of(row)};
}

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

// What the patterns say of a row: cases of the two matchers.
struct Answer {
    std::size_t kind = 0, material = 0;
};

// Answers row by row within one file. Rows come from few analyses on few instruments, so the answers for the
// last combinations are kept; a row that only a sample or time pattern can settle is always asked anew.
class RowMatcher {
  public:
    RowMatcher(const CaseMatcher& kinds, const CaseMatcher& materials)
        : kinds_(kinds), materials_(materials), untimed_(kinds.untimed() && materials.untimed()) {}
    Answer answer(const RowTexts& row) {
        if (!untimed_ || kinds_.stands_out(row.sample) || materials_.stands_out(row.sample))
            return ask(row);
        const std::uint32_t mixed =
            row.instrument * 7 + row.analysis * 31 + row.calibration * 13 + row.material * 3;
        Kept& kept = kept_[mixed % kept_.size()];
        if (!kept.known || row.instrument != kept.row.instrument || row.analysis != kept.row.analysis ||
            row.calibration != kept.row.calibration || row.material != kept.row.material)
            kept = {true, row, ask(row)};
        return kept.answer;
    }

  private:
    struct Kept {
        bool known = false;
        RowTexts row;
        Answer answer;
    };
    Answer ask(const RowTexts& row) const { return {kinds_.first(row), materials_.first(row)}; }

    const CaseMatcher& kinds_;
    const CaseMatcher& materials_;
    bool untimed_;
    std::array<Kept, 64> kept_;
};

// In order of precedence: standard, control, ignored.
std::vector<When> kind_cases(const Settings& settings) {
    When control;
    control.sample = settings.controls;
    std::vector<When> cases = {settings.standard, control};
    for (When& when : one_by_one(settings.ignore))
        cases.push_back(std::move(when));
    return cases;
}

std::uint8_t material_named(const std::vector<std::string>& names, std::string_view name) {
    for (std::size_t i = 0; i < names.size(); ++i)
        if (same_word(names[i], name))
            return static_cast<std::uint8_t>(i);
    return kNoMaterial;
}

// The material that a list's cell names: itself, or through a condition on the material alone.
std::uint8_t material_listed(const Settings& settings, std::string_view text) {
    if (text.empty())
        return kNoMaterial;
    if (const auto named = material_named(settings.material_names, text); named != kNoMaterial)
        return named;
    for (const MaterialCase& material : settings.materials) {
        When others = material.when;
        others.material.clear();
        if (!others.empty())
            continue;
        for (const std::string& pattern : material.when.material)
            if (matches(pattern, text))
                return material_named(settings.material_names, material.name);
    }
    return kNoMaterial;
}

} // namespace

void classify(Batch& batch, const Settings& settings) {
    const Readings& readings = batch.readings;
    const CaseMatcher kinds(kind_cases(settings), readings);
    std::vector<When> material_cases;
    std::vector<std::uint8_t> material_of_case;
    for (const MaterialCase& material : settings.materials) {
        material_cases.push_back(material.when);
        material_of_case.push_back(material_named(settings.material_names, material.name));
    }
    material_of_case.push_back(kNoMaterial);
    const CaseMatcher materials(material_cases, readings);
    const TextPool& column = readings.pool(TextField::material);
    std::vector<std::uint8_t> stated;
    for (TextId id = 0; id < column.size(); ++id)
        stated.push_back(material_named(settings.material_names, column[id]));

    batch.kind.resize(readings.rows);
    batch.own_material.resize(readings.rows);
    parallel_for(readings.blocks.size(), settings.threads, [&](std::size_t b) {
        const Block& block = readings.blocks[b];
        RowMatcher matcher(kinds, materials);
        for (std::size_t r = 0; r < block.rows; ++r) {
            const RowTexts row = texts_of(block, r);
            const auto [kind, material] = matcher.answer(row);
            batch.kind[block.first + r] = kind == 0              ? Kind::standard
                                          : kind == 1            ? Kind::control
                                          : kind == kinds.none() ? Kind::seed
                                                                 : Kind::ignored;
            std::uint8_t own = row.material == kNoText ? kNoMaterial : stated[row.material];
            if (own == kNoMaterial)
                own = material_of_case[material];
            batch.own_material[block.first + r] = own;
        }
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
    const auto presentation_of = [&](std::uint8_t own, std::uint8_t crop) {
        return own != kNoMaterial && names[own].size() > names[crop].size() &&
               names[own].starts_with(names[crop]) && names[own][names[crop].size()] == '-';
    };
    const std::uint8_t assumed =
        settings.assume_material ? material_named(names, *settings.assume_material) : kNoMaterial;
    // Names that the selection takes; nothing selected takes all.
    std::vector<bool> taken(std::size_t{kNoMaterial} + 1, !settings.only_material);
    for (std::size_t i = 0; settings.only_material && i < names.size(); ++i)
        taken[i] = matches(*settings.only_material, names[i]);
    const TimeWindow window{settings.from, settings.to};

    batch.material.resize(batch.readings.rows);
    parallel_for(batch.readings.blocks.size(), settings.threads, [&](std::size_t b) {
        const Block& block = batch.readings.blocks[b];
        for (std::size_t r = 0; r < block.rows; ++r) {
            const std::size_t row = block.first + r;
            const std::uint8_t own = batch.own_material[row];
            std::uint8_t material = batch.sample[row] == kNone ? kNoMaterial : listed[batch.sample[row]];
            if (material == kNoMaterial || presentation_of(own, material))
                material = own;
            if (material == kNoMaterial)
                material = assumed;
            batch.material[row] = material;
            Kind& kind = batch.kind[row];
            const bool outside = !window.admits(block.time_of(r)) || (kind == Kind::seed && !taken[material]);
            if (outside && kind != Kind::ignored && kind != Kind::repeated)
                kind = Kind::outside_selection;
        }
    });
}

} // namespace thresh::batch
