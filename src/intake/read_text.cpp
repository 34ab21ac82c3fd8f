// A text is read table by table: the heading is found at the top, the rows below become parts; a row that is
// another heading ends the table and begins the next.
#include "intake/read_text.hpp"

#include "intake/block_builder.hpp"
#include "intake/fold.hpp"
#include "intake/row_kind.hpp"
#include "intake/source_text.hpp"

#include <algorithm>
#include <fmt/format.h>

namespace thresh::intake {

namespace {

class TextReader {
  public:
    TextReader(const Input& input, const ReadContext& context, std::vector<Pools>& pools, std::size_t first)
        : input_(input), context_(context), pools_(pools), first_(first) {}

    FileData run();

  private:
    Result<void> read();
    void begin_table(const HeadingFound& heading);
    void preamble(const std::vector<HeadRow>& rows, const HeadingFound& heading);
    Result<void> check_table(const TableData& table) const;

    const Input& input_;
    const ReadContext& context_;
    std::vector<Pools>& pools_;
    std::size_t first_;
    FileData data_;
};

FileData TextReader::run() {
    data_.info.source = input_.source;
    auto done = read();
    if (!done) {
        data_.tables.clear();
        data_.rejected.clear();
        data_.notes.clear();
        data_.info.refused = true;
        data_.info.refusal = std::move(done.error());
        data_.info.refusal.file = input_.source;
    }
    return std::move(data_);
}

void TextReader::preamble(const std::vector<HeadRow>& rows, const HeadingFound& heading) {
    for (std::size_t i = 0; i < heading.first; ++i) {
        ++data_.info.lines_skipped;
        if (!rows[i].blank())
            data_.info.preamble.push_back(std::string(trim(rows[i].raw)));
    }
}

void TextReader::begin_table(const HeadingFound& heading) {
    TableData& table = data_.tables.emplace_back();
    table.plan =
        plan_table(heading.headings, heading.line, context_.dictionary, context_.options, data_.notes);
    table.plan.style.mark = data_.layout->mark;
    table.mark_proven = data_.layout->mark_given;
    table.comma_delimited = data_.layout->dialect.delimiter == ',';
    Part& part = table.parts.emplace_back();
    part.records += heading.unit_rows;
    part.not_a_reading += heading.unit_rows;
    part.pools = first_;
}

Result<void> TextReader::check_table(const TableData& table) const {
    const TableColumns& columns = *table.plan.table;
    if (columns.numbers.empty()) {
        std::string seen;
        for (const std::string& heading : columns.headings)
            seen += (seen.empty() ? "`" : ", `") + heading + "`";
        return fail(fmt::format("no heading names a constituent; the headings are {}", seen),
                    "name them in the rules file: \"columns\": { \"protein\": { \"headings\": [\"...\"] } }",
                    {}, columns.heading_line);
    }
    return {};
}

Result<void> TextReader::read() {
    auto source = open_text(input_, context_.options.encoding, true, data_.notes);
    if (!source)
        return tl::unexpected(std::move(source.error()));
    auto bytes = read_all(*source->bytes);
    if (!bytes)
        return tl::unexpected(std::move(bytes.error()));
    const std::string_view text = *bytes;
    data_.info.encoding = encoding_name(source->encoding.encoding);
    if (trim(text).empty())
        return fail("the file is empty", "export it again");
    auto layout = detect_layout(text, true, context_.dictionary, context_.options);
    if (!layout)
        return tl::unexpected(std::move(layout.error()));
    data_.layout = std::move(*layout);
    data_.info.delimiter = delimiter_name(data_.layout->dialect.delimiter);
    preamble(data_.layout->head, data_.layout->heading);
    HeadingFound heading = data_.layout->heading;
    const HeadRow* last = &data_.layout->head[heading.data_row() - 1];
    std::size_t at = last->end;
    std::uint32_t line = last->line + last->lines;
    for (bool more = true; more;) {
        begin_table(heading);
        TableData& table = data_.tables.back();
        if (auto checked = check_table(table); !checked)
            return checked;
        BlockBuilder builder(table.plan, context_.dictionary, pools_[first_], table.parts.back());
        RecordCutter cutter(text, data_.layout->dialect, true, at, line);
        Record record;
        more = false;
        while (cutter.next(record))
            if (builder.add(record) == RowOutcome::new_table) {
                std::vector<HeadRow> rows = {HeadRow::of(record)};
                while (rows.size() < 4 && cutter.next(record))
                    rows.push_back(HeadRow::of(record));
                const auto next = find_heading(rows, context_.dictionary, rows[0].line);
                if (!next)
                    break;
                heading = *next;
                at = rows[heading.data_row() - 1].end;
                line = rows[heading.data_row() - 1].line + rows[heading.data_row() - 1].lines;
                more = true;
                break;
            }
    }
    return {};
}

} // namespace

FileData read_text(const Input& input, const ReadContext& context, std::vector<Pools>& pools,
                   std::size_t first) {
    return TextReader(input, context, pools, first).run();
}

} // namespace thresh::intake
