// A text is read table by table: the heading is found at the top, the rows below become parts; a row that is
// another heading ends the table and begins the next. The layout is taken from the top of a big file and held
// against every row while they are read; when the rows contradict it, or the top does not decide, it is
// sought on the whole text and the file is read again.
#include "intake/read_text.hpp"

#include "intake/fold.hpp"
#include "intake/heading_again.hpp"
#include "intake/source_text.hpp"
#include "intake/text_chunks.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace thresh::intake {

namespace {

// The first line that no record can be; 0 when there is none.
std::uint32_t overlong_line(std::string_view text) {
    std::uint32_t line = 1;
    while (text.size() > kMaxRecordBytes) {
        const std::size_t end = text.substr(0, kMaxRecordBytes).find_first_of("\r\n");
        if (end == std::string_view::npos)
            return line;
        line += text[end] == '\n' || text[end + 1] != '\n';
        text.remove_prefix(end + 1);
    }
    return 0;
}

class TextReader {
  public:
    TextReader(const Input& input, const ReadContext& context, std::vector<Pools>& pools, std::size_t first,
               unsigned threads)
        : input_(input), context_(context), pools_(pools), first_(first), threads_(threads),
          decode_now_(context.settings.path == Path::straightforward),
          thorough_(context.settings.path == Path::straightforward) {}

    FileData run();

  private:
    enum class Outcome : std::uint8_t { done, again };
    Result<Outcome> read();
    Result<void> look_at_top() const;
    Result<void> find_layout();
    void begin_table(const HeadingFound& heading);
    Result<void> check_headings(const TableData& table) const;
    Result<void> check_rows(const TableData& table) const;
    bool contradicts(const TableData& table) const;
    std::optional<HeadingFound> next_heading(std::uint64_t& at, std::uint32_t& line) const;
    void preamble();

    const Input& input_;
    const ReadContext& context_;
    std::vector<Pools>& pools_;
    std::size_t first_;
    unsigned threads_;
    bool decode_now_, thorough_; // what an earlier try asked for
    bool discarded_ = false;
    std::shared_ptr<const KnownLayout> known_; // of the first table; null: its heading is planned by itself
    FileData data_;
    SourceText text_;
};

FileData TextReader::run() {
    Result<Outcome> outcome = Outcome::again;
    while (outcome && *outcome == Outcome::again) {
        data_ = {};
        data_.info.source = input_.source;
        outcome = read();
        discarded_ = discarded_ || !outcome || *outcome == Outcome::again;
    }
    if (!outcome) {
        data_.tables.clear();
        data_.rejected.clear();
        data_.notes.clear();
        data_.info.refused = true;
        data_.info.refusal = std::move(outcome.error());
        data_.info.refusal.file = input_.source;
        data_.info.records = data_.info.rejected = data_.info.not_a_reading = data_.info.lines_skipped = 0;
    }
    data_.discarded = discarded_;
    return std::move(data_);
}

void TextReader::preamble() {
    const Layout& layout = *data_.layout;
    data_.info.lines_skipped += layout.sep_line;
    for (std::size_t i = 0; i < layout.heading.first; ++i) {
        ++data_.info.lines_skipped;
        if (!layout.head[i].blank())
            data_.info.preamble.push_back(std::string(trim(layout.head[i].raw)));
    }
}

// Nearly always the first step finds the end of line 1.
Result<void> TextReader::look_at_top() const {
    std::size_t step = kHeadBytes;
    for (std::size_t seen = 0; seen < kMaxRecordBytes; seen += step, step = seen) {
        const auto bytes =
            read_some(*text_.bytes, text_.start + seen, std::min(step, kMaxRecordBytes - seen));
        if (!bytes)
            return tl::unexpected(bytes.error());
        if (bytes->find_first_of("\r\n") != std::string::npos)
            return {};
    }
    return fail(fmt::format("line 1 is longer than {} MiB", kMaxRecordBytes >> 20),
                "this is no table; export it again", {}, 1);
}

Result<void> TextReader::find_layout() {
    const std::uint64_t size = text_.bytes->size() - text_.start;
    const auto look = [&](std::size_t bytes) -> Result<std::shared_ptr<const Layout>> {
        auto head = read_some(*text_.bytes, text_.start, bytes);
        if (!head)
            return tl::unexpected(std::move(head.error()));
        if (trim(*head).empty())
            return fail("the file is empty", "export it again");
        if (const std::uint32_t line = overlong_line(*head); line > 0)
            return fail(fmt::format("line {} is longer than {} MiB", line, kMaxRecordBytes >> 20),
                        "this is no table; export it again", {}, line);
        const bool whole = head->size() == size;
        KnownLayouts& layouts = pools_[first_].layouts;
        known_ = thorough_ ? nullptr : layouts.find(*head, whole);
        if (known_)
            return std::shared_ptr<const Layout>(known_, &known_->layout);
        auto found = detect_layout(*head, whole, context_.dictionary, context_.options);
        if (!found)
            return tl::unexpected(std::move(found.error()));
        if (!thorough_)
            known_ = layouts.remember(*head, whole, *found, context_.dictionary, context_.options);
        found->head.resize(std::min(found->heading.data_row(), found->head.size())); // no row is asked for
        return std::make_shared<const Layout>(std::move(*found));
    };
    // A first line without end is not worth reading the rest.
    if (auto top = size > kMaxRecordBytes ? look_at_top() : Result<void>{}; !top)
        return top;
    auto layout = look(thorough_ ? static_cast<std::size_t>(size) : kHeadBytes);
    constexpr double kClear = 0.5;
    if (!thorough_ && size > kHeadBytes && (!layout || (*layout)->margin < kClear)) {
        thorough_ = true;
        layout = look(static_cast<std::size_t>(size));
    }
    if (!layout)
        return tl::unexpected(std::move(layout.error()));
    data_.layout = std::move(*layout);
    const Layout& found = *data_.layout;
    if (found.doubtful())
        return fail(
            fmt::format(
                "layout-doubtful: the file reads with `{}` between cells ({} columns) and nearly as well "
                "with `{}` ({} columns)",
                delimiter_name(found.dialect.delimiter), found.heading.headings.size(),
                delimiter_name(found.runner_up.delimiter), found.runner_up_columns),
            fmt::format("--delimiter '{}' or --delimiter '{}'", delimiter_name(found.dialect.delimiter),
                        delimiter_name(found.runner_up.delimiter)),
            {}, found.heading.line);
    data_.info.delimiter = delimiter_name(found.dialect.delimiter);
    const bool same = found.above_delimiter == found.dialect.delimiter;
    if (found.above > 0)
        data_.notes.push_back(table_above_note(
            found.above, found.heading.line,
            same ? "" : fmt::format(" --delimiter '{}'", delimiter_name(found.above_delimiter))));
    return {};
}

void TextReader::begin_table(const HeadingFound& heading) {
    TableData& table = data_.tables.emplace_back();
    if (known_ && data_.tables.size() == 1) {
        table.plan = known_->plan;
        data_.notes.insert(data_.notes.end(), known_->notes.begin(), known_->notes.end());
    } else {
        table.plan = plan_table(heading, context_.dictionary, context_.options, data_.notes);
    }
    table.plan.style.mark = data_.layout->mark;
    table.plan.data_width = table.plan.width + (data_.layout->trailing_delimiter ? 1 : 0);
    table.mark_proven = data_.layout->mark_given;
    table.comma_delimited = data_.layout->dialect.delimiter == ',';
    Part units; // rows of units belong to the heading, but are rows below it
    table.unit_rows = units.records = units.not_a_reading = heading.unit_rows;
    units.repeats_differ.resize(table.plan.repeats.size());
    units.repeats_line.resize(table.plan.repeats.size());
    units.pools = first_;
    table.parts.push_back(std::move(units));
}

Result<void> TextReader::check_headings(const TableData& table) const {
    const TableColumns& columns = *table.plan.table;
    if (!columns.numbers.empty())
        return {};
    std::string seen;
    for (std::size_t i = 0; i < std::min<std::size_t>(columns.headings.size(), 40); ++i)
        seen += (seen.empty() ? "`" : ", `") + columns.headings[i] + "`";
    return fail(fmt::format("no heading names a constituent; the headings are {}", seen),
                "name them in the rules file: \"columns\": { \"protein\": { \"headings\": [\"...\"] } }", {},
                columns.heading_line);
}

// A heading that a third of the rows does not fit is not their heading.
Result<void> TextReader::check_rows(const TableData& table) const {
    std::size_t longer = 0, records = 0;
    for (const Part& part : table.parts) {
        longer += part.longer;
        records += part.records;
    }
    if (3 * longer <= records || (longer < 2 && longer < records) || data_.layout->delimiter_given)
        return {};
    return fail(
        fmt::format("{} of {} rows have more cells than the heading, which has {}; perhaps decimal commas "
                    "stand between commas",
                    longer, records, table.plan.width),
        "--delimiter if the delimiter is another one; otherwise export with another delimiter", {},
        table.plan.table->heading_line);
}

bool TextReader::contradicts(const TableData& table) const {
    std::size_t odd = 0, records = 0;
    for (const Part& part : table.parts) {
        odd += part.rejected.size() + part.events[static_cast<std::size_t>(RowEvent::short_row)].count;
        records += part.records;
    }
    return 10 * odd > records;
}

std::optional<HeadingFound> TextReader::next_heading(std::uint64_t& at, std::uint32_t& line) const {
    auto top = read_some(*text_.bytes, at, kMaxRecordBytes / 4);
    if (!top)
        return std::nullopt;
    std::vector<HeadRow> rows;
    RecordCutter cutter(*top, data_.layout->dialect, at + top->size() == text_.bytes->size(), 0, line);
    Record record;
    while (rows.size() < 4 && cutter.next(record))
        rows.push_back(HeadRow::of(record, true, data_.layout->dialect.delimiter != ','));
    if (rows.empty())
        return std::nullopt;
    HeadingFound heading = heading_below(rows, *data_.tables.back().plan.heading, context_.dictionary);
    const HeadRow& last = rows[std::min(heading.data_row(), rows.size()) - 1];
    at += last.end;
    line = last.line + last.lines;
    return heading;
}

Result<TextReader::Outcome> TextReader::read() {
    auto opened = open_text(input_, context_.options.encoding, decode_now_, data_.notes);
    if (!opened)
        return tl::unexpected(std::move(opened.error()));
    text_ = std::move(*opened);
    data_.info.encoding = encoding_name(text_.encoding.encoding);
    data_.encoding_found = text_.encoding.why;
    if (auto found = find_layout(); !found)
        return tl::unexpected(std::move(found.error()));
    preamble();
    const Layout& layout = *data_.layout;
    const HeadRow& last = layout.head[std::min(layout.heading.data_row(), layout.head.size()) - 1];
    std::uint64_t at = text_.start + last.end;
    std::uint32_t line = last.line + last.lines;
    std::optional<HeadingFound> further; // of a table below the first
    for (;;) {
        begin_table(further ? *further : layout.heading);
        TableData& table = data_.tables.back();
        if (auto checked = check_headings(table); !checked)
            return tl::unexpected(std::move(checked.error()));
        auto rows = read_rows({*text_.bytes, at, line, layout.dialect, table.plan, context_.dictionary,
                               context_.settings, text_.checked, layout.row_bytes},
                              pools_, first_, threads_);
        if (!rows)
            return tl::unexpected(std::move(rows.error()));
        discarded_ = discarded_ || rows->discarded;
        if (rows->invalid_utf8) {
            decode_now_ = true;
            return Outcome::again;
        }
        std::move(rows->parts.begin(), rows->parts.end(), std::back_inserter(table.parts));
        if (!thorough_ && contradicts(table) && text_.bytes->size() > kHeadBytes) {
            thorough_ = true;
            return Outcome::again;
        }
        if (auto checked = check_rows(table); !checked)
            return tl::unexpected(std::move(checked.error()));
        if (!rows->new_table)
            return Outcome::done;
        at = rows->end;
        line = rows->line;
        further = next_heading(at, line);
        if (!further)
            return Outcome::done;
    }
}

} // namespace

FileData read_text(const Input& input, const ReadContext& context, std::vector<Pools>& pools,
                   std::size_t first, unsigned threads) {
    return TextReader(input, context, pools, first, threads).run();
}

} // namespace thresh::intake
