// A file that was predicted again under another calibration. With seconds its readings are found one by one;
// where times show minutes only, a single reading cannot be told from a second packet read in that minute,
// but a whole file can: each of its readings has its counterpart in the other file, and all differ by one
// calibration. Of two calibrations the later name counts, numbers in it compared as numbers: which file is
// called what, and in which order files are found, must not decide.
#include "batch/stages.hpp"

#include "batch/same_reading.hpp"
#include "batch/time_key.hpp"

#include <algorithm>
#include <map>
#include <tuple>

namespace thresh::batch {

namespace {

constexpr std::size_t kFewest = 3; // readings of a file; fewer may be chance

struct File {
    TextId calibration = kNoText;                        // of all its readings; kNoText: several, or none
    Time::Precision precision = Time::Precision::second; // the coarsest
    std::size_t rows = 0;                                // that may still be found in another file
    bool fits() const { return calibration != kNoText && precision >= Time::Precision::minute; }
};

std::vector<File> describe_files(const Batch& batch, const SampleGroups& groups,
                                 const std::vector<Time::Precision>& shown) {
    std::vector<File> files(batch.readings.files.size());
    std::vector<bool> seen(files.size());
    for (std::size_t b = 0; b < batch.readings.blocks.size(); ++b) {
        const Block& block = batch.readings.blocks[b];
        File& file = files[block.file];
        for (std::size_t r = 0; r < block.rows; ++r) {
            const Kind kind = batch.kind[block.first + r];
            if (kind == Kind::ignored)
                continue;
            const TextId calibration = block.text_of(TextField::calibration, r);
            file.calibration = seen[block.file] && file.calibration != calibration ? kNoText : calibration;
            seen[block.file] = true;
            file.precision = std::min({file.precision, block.time_of(r).precision(), shown[b]});
            file.rows += kind != Kind::repeated;
        }
    }
    for (std::uint32_t at = groups.begin[groups.begin.size() - 2]; at < groups.begin.back(); ++at) {
        const RowId row = groups.rows[at]; // without an ID: never found again
        if (batch.kind[row] != Kind::ignored && batch.kind[row] != Kind::repeated)
            --files[batch.block_of(row).file].rows;
    }
    return files;
}

struct Entry {
    std::uint32_t minute;
    TextId instrument, analysis;
    std::uint32_t file;
    RowId row;
    auto moment() const { return std::tuple(minute, instrument, analysis); }
};

using FilePair = std::pair<std::uint32_t, std::uint32_t>;

// Brings together, in order, readings of one sample, minute, instrument and analysis in two files. Those that
// have no constituent in common were not predicted again: each file holds a part of what was predicted.
void match_group(std::vector<Entry>& entries, const std::vector<File>& files, ReadingComparer& comparer,
                 std::map<FilePair, std::vector<Repeat>>& pairs) {
    std::ranges::sort(entries, {}, [](const Entry& e) { return std::tuple(e.moment(), e.file, e.row); });
    for (std::size_t i = 0; i < entries.size();) {
        std::size_t end = i;
        while (end < entries.size() && entries[end].moment() == entries[i].moment())
            ++end;
        std::vector<std::size_t> starts; // of each file's entries
        for (std::size_t at = i; at < end; ++at)
            if (at == i || entries[at].file != entries[at - 1].file)
                starts.push_back(at);
        starts.push_back(end);
        for (std::size_t a = 0; a + 2 < starts.size(); ++a)
            for (std::size_t b = a + 1; b + 1 < starts.size(); ++b) {
                const std::uint32_t first = entries[starts[a]].file, second = entries[starts[b]].file;
                if (files[first].calibration == files[second].calibration ||
                    (files[first].precision == Time::Precision::second &&
                     files[second].precision == Time::Precision::second))
                    continue;
                for (std::size_t k = 0; starts[a] + k < starts[a + 1] && starts[b] + k < starts[b + 1]; ++k) {
                    const RowId row = entries[starts[b] + k].row, stands = entries[starts[a] + k].row;
                    if (comparer.have_in_common(stands, row))
                        pairs[{first, second}].push_back({row, stands, true});
                }
            }
        i = end;
    }
}

// Whether `a` is the later name; runs of digits compare as numbers.
bool later(std::string_view a, std::string_view b) {
    const auto digit = [](char c) { return c >= '0' && c <= '9'; };
    const auto take_number = [&](std::string_view& text) {
        std::size_t end = 0;
        while (end < text.size() && digit(text[end]))
            ++end;
        std::string_view number = text.substr(0, end);
        text.remove_prefix(end);
        number.remove_prefix(std::min(number.find_first_not_of('0'), number.size()));
        return number;
    };
    while (!a.empty() && !b.empty()) {
        if (digit(a[0]) && digit(b[0])) {
            const std::string_view x = take_number(a), y = take_number(b);
            if (x != y)
                return x.size() != y.size() ? x.size() > y.size() : x > y;
            continue;
        }
        if (a[0] != b[0])
            return static_cast<unsigned char>(a[0]) > static_cast<unsigned char>(b[0]);
        a.remove_prefix(1);
        b.remove_prefix(1);
    }
    return !a.empty();
}

} // namespace

void pair_predicted_again(Batch& batch, const SampleGroups& groups, const std::vector<Time::Precision>& shown,
                          ReadingComparer& comparer) {
    if (batch.readings.pool(TextField::calibration).size() < 2)
        return;
    const std::vector<File> files = describe_files(batch, groups, shown);
    std::map<FilePair, std::vector<Repeat>> pairs;
    std::vector<Entry> entries;
    for (std::size_t g = 0; g + 2 < groups.begin.size(); ++g) { // the last group has no ID
        entries.clear();
        bool several = false;
        for (std::uint32_t at = groups.begin[g]; at < groups.begin[g + 1]; ++at) {
            const RowId row = groups.rows[at];
            const Block& block = batch.block_of(row);
            if (batch.kind[row] == Kind::ignored || batch.kind[row] == Kind::repeated ||
                !files[block.file].fits())
                continue;
            const std::size_t r = row - block.first;
            entries.push_back({minute_of_key(groups.time_key[at]), block.text_of(TextField::instrument, r),
                               block.text_of(TextField::analysis, r), block.file, row});
            several = several || files[block.file].calibration != files[entries.front().file].calibration;
        }
        if (several)
            match_group(entries, files, comparer, pairs);
    }
    for (const auto& [pair, found] : pairs) {
        if (found.size() < kFewest ||
            found.size() != std::min(files[pair.first].rows, files[pair.second].rows))
            continue;
        for (const Repeat& repeat : found)
            if (batch.kind[repeat.row] != Kind::repeated &&
                batch.kind[repeat.first] == batch.kind[repeat.row]) {
                batch.kind[repeat.row] = Kind::repeated;
                batch.repeats.push_back(repeat);
            }
    }
    std::ranges::sort(batch.repeats, {}, &Repeat::row);
}

void let_later_calibration_count(Batch& batch) {
    const TextPool& names = batch.readings.pool(TextField::calibration);
    std::map<FilePair, bool> turned;
    for (const Overlap& overlap : batch.overlaps)
        if (overlap.predicted_again() && later(names[overlap.calibration], names[overlap.first_calibration]))
            turned[{overlap.first_file, overlap.file}] = true;
    if (turned.empty())
        return;
    const auto calibration = [&](RowId row) {
        return names[batch.block_of(row).text_of(TextField::calibration, batch.in_block(row))];
    };
    std::map<RowId, RowId> instead; // of a reading that stood: the one that counts now
    for (const Repeat& repeat : batch.repeats) {
        if (!repeat.changed ||
            !turned.contains({batch.block_of(repeat.first).file, batch.block_of(repeat.row).file}))
            continue;
        const auto [at, fresh] = instead.emplace(repeat.first, repeat.row);
        if (!fresh && later(calibration(repeat.row), calibration(at->second)))
            at->second = repeat.row;
    }
    for (Repeat& repeat : batch.repeats) {
        const auto at = instead.find(repeat.first);
        if (at == instead.end())
            continue;
        const RowId old = repeat.first;
        if (repeat.row == at->second) {
            std::swap(batch.kind[old], batch.kind[repeat.row]);
            repeat = {old, at->second, true};
        } else {
            // What was like the old one differs from the new one, unless it has the new one's calibration.
            repeat.changed = calibration(repeat.row) != calibration(at->second);
            repeat.first = at->second;
        }
    }
    std::ranges::sort(batch.repeats, {}, &Repeat::row);
}

} // namespace thresh::batch
