// Why two texts for which leaves_no_choice() holds, with the same first line, have the same layout. No other
// delimiter and no quote occurs, so detect_layout() tries commas and a table of one column; the latter is
// ruled out because every line is cut wrongly by it. Rows with a number are no headings and join none, so
// that the heading is found in the first line alone. Few rows end in a comma, so that nothing is asked of
// the rows. Whatever is left depends on the first line and the options.
#include "intake/known_layouts.hpp"

#include "intake/head_rows.hpp"

#include <algorithm>
#include <cstdint>

namespace thresh::intake {

namespace {

constexpr std::size_t kMostKept = 16; // headings in one season; more are sought anew

std::string_view first_line(std::string_view text) {
    const std::size_t feed = text.find('\n');
    return feed == std::string_view::npos ? std::string_view() : text.substr(0, feed + 1);
}

// As is_row_cut_wrongly() where commas are the only marks. Counted in bytes, several at once; a count that
// runs over is smaller than it should be, and the layout is sought. Of a long line the beginning tells, whose
// fixed length leaves no rest to count one by one.
bool many_commas(std::string_view line) {
    const auto among_first = [&](std::size_t size) {
        std::uint8_t commas = 0;
        for (std::size_t i = 0; i < size; ++i)
            commas = static_cast<std::uint8_t>(commas + (line[i] == ',' ? 1 : 0));
        return commas > kMostMarks;
    };
    constexpr std::size_t kBeginning = 128;
    return (line.size() >= kBeginning && among_first(kBeginning)) || among_first(line.size());
}

} // namespace

bool leaves_no_choice(std::string_view text, bool whole) {
    for (const char c : {'"', '\'', '~', ';', '\t', '|'})
        if (text.find(c) != std::string_view::npos)
            return false;
    const bool returns = text.find('\r') != std::string_view::npos;
    std::size_t trailing = text.ends_with(','), other = 0, rows = 0;
    for (std::size_t at = 0, end = 0; at < text.size(); at = end + 1) {
        end = std::min(text.find('\n', at), text.size());
        std::string_view line = text.substr(at, end - at);
        if (end == text.size() && !whole) {
            if (returns && line.find('\r') != std::string_view::npos)
                return false;
            break; // half a row
        }
        if (line.ends_with('\r'))
            line.remove_suffix(1);
        if ((returns && line.find('\r') != std::string_view::npos) || !many_commas(line))
            return false;
        if (at == 0)
            continue;
        if (!has_number(line, ','))
            return false;
        ++rows;
        trailing += line.ends_with(',');
        other += end < text.size() && line.back() > ' ' && line.back() < '\x7f' && line.back() != ',';
    }
    return rows > 0 && trailing <= other;
}

std::shared_ptr<const KnownLayout> KnownLayouts::find(std::string_view text, bool whole) const {
    const std::string_view heading = first_line(text);
    for (const auto& known : known_)
        if (known->heading == heading)
            return leaves_no_choice(text, whole) ? known : nullptr;
    return nullptr;
}

std::shared_ptr<const KnownLayout> KnownLayouts::remember(std::string_view text, bool whole,
                                                          const Layout& layout,
                                                          const HeadingDictionary& dictionary,
                                                          const ExportOptions& options) {
    const HeadingFound& heading = layout.heading;
    if (known_.size() == kMostKept || options.header_row || dictionary.for_lists() ||
        layout.dialect.delimiter != ',' || layout.sep_line || heading.data_row() != 1 ||
        layout.head.front().lines != 1 || !leaves_no_choice(text, whole))
        return nullptr;
    auto known = std::make_shared<KnownLayout>();
    known->heading = first_line(text);
    known->layout = layout;
    known->layout.head.resize(1);
    known->plan = plan_table(heading, dictionary, options, known->notes);
    known_.push_back(known);
    return known;
}

} // namespace thresh::intake
