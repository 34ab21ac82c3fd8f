// Materials of one crop are known by their names, `soybean-whole` and `soybean-ground`. Only samples with a
// usable reading in both are touched: a value in doubt is better than none.
#include "rules/presentation.hpp"

#include <algorithm>
#include <map>

namespace thresh::rules {

namespace {

bool contains_word(std::string_view text, const std::string& word) {
    const auto same = [](char a, char b) {
        const auto lower = [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; };
        return lower(a) == lower(b);
    };
    return !word.empty() &&
           std::search(text.begin(), text.end(), word.begin(), word.end(), same) != text.end();
}

// Whether readings are of more than one material at all: in most seasons they are not, and no sample has to
// be looked at.
bool may_be_read_both_ways(const batch::Batch& batch) {
    const auto known = [](std::uint8_t material) { return material != batch::kNoMaterial; };
    const auto first = std::find_if(batch.material.begin(), batch.material.end(), known);
    return std::any_of(first, batch.material.end(),
                       [&](std::uint8_t material) { return known(material) && material != *first; });
}

// What stands: `whole`, `ground` or nothing said.
std::string_view standing(const batch::Batch& batch, const Ruleset& rules, std::uint32_t sample,
                          std::uint8_t whole, std::uint8_t ground) {
    if (dark_coat(batch.list.text(batch.samples[sample].entry, batch::ListText::seed_coat), rules))
        return "ground";
    for (const std::uint8_t material : {whole, ground})
        if (const Material* about = rules.material(material); about != nullptr && about->prefer)
            return *about->prefer;
    return {};
}

} // namespace

bool dark_coat(std::string_view seed_coat, const Ruleset& rules) {
    return std::any_of(rules.dark_coats.begin(), rules.dark_coats.end(),
                       [&](const std::string& word) { return contains_word(seed_coat, word); });
}

std::pair<std::string_view, std::string_view> crop_and_presentation(std::string_view material) {
    for (const std::string_view presentation : {"whole", "ground"})
        if (material.size() > presentation.size() + 1 && material.ends_with(presentation) &&
            material[material.size() - presentation.size() - 1] == '-')
            return {material.substr(0, material.size() - presentation.size() - 1), presentation};
    return {material, {}};
}

bool choose_presentation(const batch::Batch& batch, const Ruleset& rules, Judgement& judgement) {
    if (!may_be_read_both_ways(batch))
        return false;
    struct Read {
        std::uint8_t whole = batch::kNoMaterial, ground = batch::kNoMaterial;
    };
    for (std::uint32_t sample = 0; sample < batch.samples.size(); ++sample) {
        const auto rows = batch.rows_of(sample);
        if (rows.size() < 2 || std::all_of(rows.begin(), rows.end(), [&](RowId row) {
                return batch.material[row] == batch.material[rows.front()];
            }))
            continue;
        std::map<std::string_view, Read> crops;
        for (const RowId row : rows) {
            const std::uint8_t material = batch.material[row];
            if (material == batch::kNoMaterial || judgement.verdict[row] > Verdict::review)
                continue;
            const auto [crop, presentation] = crop_and_presentation(batch.material_names[material]);
            if (presentation == "whole")
                crops[crop].whole = material;
            if (presentation == "ground")
                crops[crop].ground = material;
        }
        for (const auto& [crop, read] : crops) {
            if (read.whole == batch::kNoMaterial || read.ground == batch::kNoMaterial)
                continue;
            const std::string_view stands = standing(batch, rules, sample, read.whole, read.ground);
            if (stands.empty())
                continue;
            const std::uint8_t other = stands == "ground" ? read.whole : read.ground;
            for (const RowId row : rows)
                if (batch.material[row] == other && judgement.verdict[row] <= Verdict::review) {
                    judgement.verdict[row] = Verdict::superseded;
                    judgement.outranked.push_back(row);
                }
        }
    }
    if (judgement.outranked.empty())
        return false;
    std::sort(judgement.outranked.begin(), judgement.outranked.end());
    for (Finding& finding : judgement.findings)
        if (finding.row != kNone && (finding.about == About::reading || finding.about == About::value) &&
            std::binary_search(judgement.outranked.begin(), judgement.outranked.end(), finding.row))
            finding.settled = true;
    return true;
}

} // namespace thresh::rules
