#include "rules/folding.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <map>
#include <tuple>

namespace thresh::rules {

namespace {

using Key =
    std::tuple<std::uint32_t, std::uint8_t, ConstituentId, std::uint16_t>; // file, material, ..., code

// Seed readings of a file and material that hold a number of the constituent; no more are counted than
// `enough`.
std::size_t readings_with(const Evidence& evidence, const Key& key, std::size_t enough) {
    const auto& [file, material, constituent, code] = key;
    std::size_t count = 0;
    const auto& blocks = evidence.batch.readings.blocks; // in the order of files
    const auto first = std::partition_point(blocks.begin(), blocks.end(),
                                            [file = file](const Block& b) { return b.file < file; });
    for (auto at = first; at != blocks.end() && at->file == file && count < enough; ++at) {
        const Block& block = *at;
        const auto column = constituent == kNoConstituent ? std::nullopt : block.table->find(constituent);
        for (std::size_t row = 0; row < block.rows && count < enough; ++row) {
            const std::size_t id = block.first + row;
            if (evidence.batch.kind[id] != Kind::seed || evidence.batch.material[id] != material)
                continue;
            count += constituent == kNoConstituent || (column && block.cell(row, *column).is_number());
        }
    }
    return count;
}

} // namespace

void fold(std::vector<Sink>& sinks, const Evidence& evidence, std::vector<std::string>& texts) {
    const batch::Batch& batch = evidence.batch;
    const auto key_of = [&](const Finding& f) {
        return Key{batch.block_of(f.row).file, batch.material[f.row], f.constituent, f.code};
    };
    // Readings, not findings: a reading may miss two sums at once. Its findings follow each other.
    struct Told {
        std::size_t readings = 0;
        RowId last = kNone;
    };
    std::map<Key, Told> counts;
    auto of = counts.end(); // of the finding before: the next is mostly alike
    for (const Sink& sink : sinks)
        for (const Finding& f : sink.findings) {
            if (f.row == kNone)
                continue;
            if (const Key key = key_of(f); of == counts.end() || of->first != key)
                of = counts.try_emplace(key).first;
            if (of->second.last != f.row)
                ++of->second.readings;
            of->second.last = f.row;
        }

    std::map<Key, std::uint32_t> folded; // to the text
    for (const auto& [key, told] : counts) {
        const std::size_t count = told.readings;
        // Of nearly all limits a small part of the file shows that they fit.
        const auto floods = [&](std::size_t all) {
            return static_cast<double>(count) * 100 >
                   evidence.rules.tests.flood_percent * static_cast<double>(all);
        };
        const double fitting = 100 * static_cast<double>(count) / evidence.rules.tests.flood_percent;
        std::size_t enough = static_cast<std::size_t>(-1);
        if (fitting < 1e9)
            enough = std::max(kFoldAtLeast, static_cast<std::size_t>(fitting) + 1);
        const std::size_t all = readings_with(evidence, key, enough);
        if (all < kFoldAtLeast || !floods(all))
            continue;
        const auto& [file, material, constituent, code] = key;
        texts.push_back(
            fmt::format("{} of {} `{}` readings of this file would be {}{}: the limit does not "
                        "fit this material, so none of them was marked",
                        count, all, material == batch::kNoMaterial ? "?" : batch.material_names[material],
                        catalogue()[code].code,
                        constituent == kNoConstituent
                            ? ""
                            : fmt::format(" in `{}`", evidence.rules.constituents[constituent].name)));
        folded[key] = static_cast<std::uint32_t>(texts.size() - 1);
    }
    if (folded.empty())
        return;

    std::map<Key, Finding> of_files; // as strong as the strongest finding that each stands for
    for (Sink& sink : sinks)
        std::erase_if(sink.findings, [&](const Finding& f) {
            const auto at = f.row == kNone ? folded.end() : folded.find(key_of(f));
            if (at == folded.end())
                return false;
            Finding about_file = f;
            about_file.about = About::file;
            about_file.subject = std::get<0>(at->first);
            about_file.row = kNone;
            about_file.detail = at->second;
            Finding& kept = of_files.try_emplace(at->first, about_file).first->second;
            kept.severity = std::max(kept.severity, f.severity);
            return true;
        });
    for (const auto& [key, about_file] : of_files)
        sinks.back().findings.push_back(about_file);
}

} // namespace thresh::rules
