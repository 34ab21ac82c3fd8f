// Rows are brought together by a hash of their plot and then compared, for a list may be as long as the
// season. A list that numbers its plots anew in every field, and does not name the field, has all its plots
// twice: the first ones are told and the others counted.
#include <thresh/batch/list_reader.hpp>

#include <algorithm>
#include <array>
#include <fmt/format.h>
#include <thresh/core/text_pool.hpp>

namespace thresh::batch {

namespace {

constexpr std::size_t kMostTold = 20;
constexpr std::array kPlace = {ListText::trial, ListText::environment, ListText::year,
                               ListText::rep,   ListText::block,       ListText::plot};
constexpr std::array<const char*, kPlace.size()> kNames = {"trial", "environment", "year",
                                                           "rep",   "block",       "plot"};

std::uint64_t hash_of_place(const SampleList& list, std::uint32_t row) {
    std::uint64_t hash = 0;
    for (const ListText field : kPlace)
        hash = hash * 31 + hash_bytes(list.text(row, field));
    return hash;
}

bool same_place(const SampleList& list, std::uint32_t a, std::uint32_t b) {
    return std::ranges::all_of(kPlace,
                               [&](ListText field) { return list.text(a, field) == list.text(b, field); });
}

// A sample without a line is a line of its own.
std::string_view line_of(const SampleList& list, std::uint32_t row) {
    const std::string_view line = list.text(row, ListText::line);
    return line.empty() ? list.text(row, ListText::sample) : line;
}

std::string place_in_words(const SampleList& list, std::uint32_t row) {
    std::string text;
    for (std::size_t i = kPlace.size(); i-- > 0;) // the plot first
        if (const std::string_view part = list.text(row, kPlace[i]); !part.empty())
            text += fmt::format("{}{} `{}`", text.empty() ? "" : ", ", kNames[i], part);
    return text;
}

IntakeNote note_of(const SampleList& list, std::uint32_t row, std::uint32_t earlier) {
    const std::string_view sheet = list.sheet(earlier);
    IntakeNote note;
    note.code = "plot-shared";
    note.list = list.source;
    note.sheet = list.sheet(row);
    note.line = list.row_line(row);
    note.doubt = true;
    note.message =
        fmt::format("{} is given to line `{}` here and to `{}` in line {}{}", place_in_words(list, row),
                    line_of(list, row), line_of(list, earlier), list.row_line(earlier),
                    sheet.empty() ? "" : fmt::format(" of sheet `{}`", sheet));
    note.help = "correct the plot or the line, or state what tells the two plots apart: trial, environment, "
                "year, rep or block";
    return note;
}

} // namespace

std::vector<IntakeNote> shared_plots(const SampleList& list) {
    std::vector<IntakeNote> notes;
    if (!list.states(ListText::plot))
        return notes;
    std::vector<std::pair<std::uint64_t, std::uint32_t>> rows; // hash, row
    rows.reserve(list.size());
    for (std::uint32_t row = 0; row < list.size(); ++row)
        if (!list.text(row, ListText::plot).empty() && list.text(row, ListText::duplicate_of).empty() &&
            list.text(row, ListText::kind) != "single_plant")
            rows.emplace_back(hash_of_place(list, row), row);
    std::ranges::sort(rows);
    std::vector<std::pair<std::uint32_t, std::uint32_t>> shared; // row, the first before it on its plot
    for (std::size_t begin = 0, at = 0; at < rows.size(); ++at) {
        if (rows[at].first != rows[begin].first)
            begin = at;
        // Of equal hashes nearly all are of one plot; the first row that is decides.
        std::size_t first = begin;
        while (!same_place(list, rows[first].second, rows[at].second))
            ++first;
        if (line_of(list, rows[first].second) != line_of(list, rows[at].second))
            shared.emplace_back(rows[at].second, rows[first].second);
    }
    std::ranges::sort(shared);
    for (const auto& [row, earlier] : shared) {
        if (notes.size() == kMostTold && shared.size() > kMostTold + 1) {
            IntakeNote rest = note_of(list, row, earlier);
            rest.message += fmt::format("; so are {} more rows", shared.size() - kMostTold - 1);
            notes.push_back(std::move(rest));
            break;
        }
        notes.push_back(note_of(list, row, earlier));
    }
    return notes;
}

} // namespace thresh::batch
