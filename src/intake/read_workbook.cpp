// The rows of a sheet are streamed. At its top, and where a row turns out to be another heading, some rows
// are held back until the heading is found; then they and all others go through the same builder as text
// does.
#include "intake/read_workbook.hpp"

#include "intake/block_builder.hpp"
#include "intake/fold.hpp"
#include "intake/heading_again.hpp"
#include "intake/sheet_rows.hpp"
#include "intake/source_text.hpp"

#include <algorithm>
#include <fmt/format.h>
#include <iterator>
#include <memory>

namespace thresh::intake {

namespace {

constexpr std::size_t kTopRows = 200; // held back at the top of a sheet
constexpr std::size_t kNextRows = 4;  // at another heading

class SheetReader {
  public:
    SheetReader(const ReadContext& context, Pools& pools, std::size_t pool_number, std::string sheet)
        : context_(context), pools_(pools), pool_number_(pool_number), sheet_(std::move(sheet)) {}

    void take(const xlsx::SheetRow& row);
    bool wants_more() const { return hold_ > 0 || builder_; }
    void finish(); // after the last row
    bool found() const { return found_; }
    FileData& data() { return data_; } // tables, notes and counts of this sheet

  private:
    void take_row(const xlsx::SheetRow& row);
    void begin();
    char guess_mark(const TablePlan& plan, std::size_t data_row) const;
    void skip_blank_rows(std::uint32_t row);

    const ReadContext& context_;
    Pools& pools_;
    std::size_t pool_number_;
    FileData data_;
    std::string sheet_;
    std::vector<xlsx::SheetRow> held_; // rows in which a heading is to be found
    std::size_t hold_ = kTopRows;
    bool found_ = false, top_ = true;
    std::uint32_t last_row_ = 0;
    std::unique_ptr<BlockBuilder> builder_;
    MergedCells merged_;
    std::string raw_;
    Record record_;
};

void SheetReader::skip_blank_rows(std::uint32_t row) {
    data_.info.lines_skipped += row > last_row_ + 1 ? row - last_row_ - 1 : 0;
    last_row_ = row;
}

// Text cells with decimal commas, which numbers of a workbook never have.
char SheetReader::guess_mark(const TablePlan& plan, std::size_t data_row) const {
    if (context_.options.decimal)
        return *context_.options.decimal;
    std::size_t point = 0, comma = 0;
    for (std::size_t r = data_row; r < held_.size(); ++r)
        for (const NumberPlan& number : plan.numbers) {
            if (number.position >= held_[r].cells.size())
                continue;
            const xlsx::SheetCell& cell = held_[r].cells[number.position];
            const auto reads = [&](char mark) {
                return read_number_cell(cell.text, {mark, '\0'}, 0).kind != NumberCell::Kind::unreadable;
            };
            point += reads('.');
            comma += cell.kind == xlsx::CellKind::text && reads(',');
        }
    return comma > point ? ',' : '.';
}

// Finds the heading among the held rows and hands the others on.
void SheetReader::begin() {
    std::vector<HeadRow> heads;
    for (const xlsx::SheetRow& row : held_)
        heads.push_back(sheet_head(row));
    const auto heading =
        held_.empty() ? std::nullopt
        : top_        ? find_heading(heads, context_.dictionary, context_.options.header_row)
               : std::optional(heading_below(heads, *data_.tables.back().plan.heading, context_.dictionary));
    hold_ = 0;
    std::vector<xlsx::SheetRow> rows = std::move(held_);
    held_.clear();
    if (!heading)
        return;
    const std::size_t notes_before = data_.notes.size();
    held_ = rows; // for guess_mark
    TableData table;
    table.sheet = sheet_;
    table.plan = plan_table(*heading, context_.dictionary, context_.options, data_.notes);
    table.plan.style.mark = guess_mark(table.plan, heading->data_row());
    table.mark_proven = context_.options.decimal.has_value();
    held_.clear();
    if (table.plan.table->numbers.empty() && top_) {
        data_.notes.resize(notes_before);
        return;
    }
    if (heading->above > 0 && top_)
        data_.notes.push_back(table_above_note(heading->above, heading->line));
    for (std::size_t n = notes_before; n < data_.notes.size(); ++n)
        data_.notes[n].sheet = sheet_;
    for (std::size_t i = 0; i < heading->first && top_; ++i) {
        ++data_.info.lines_skipped;
        data_.info.preamble.push_back(std::string(trim(heads[i].raw)));
    }
    found_ = true;
    top_ = false;
    Part part;
    part.pools = pool_number_;
    table.unit_rows = part.records = part.not_a_reading = heading->unit_rows;
    table.parts.push_back(std::move(part));
    data_.tables.push_back(std::move(table));
    TableData& made = data_.tables.back();
    builder_ = std::make_unique<BlockBuilder>(made.plan, context_.dictionary, pools_, made.parts.back());
    for (std::size_t r = heading->data_row(); r < rows.size(); ++r)
        take_row(rows[r]);
}

void SheetReader::take(const xlsx::SheetRow& row) {
    skip_blank_rows(row.row);
    take_row(row);
}

void SheetReader::take_row(const xlsx::SheetRow& row) {
    if (held_.size() < hold_) {
        held_.push_back(row);
        if (held_.size() == hold_)
            begin();
        return;
    }
    if (!builder_)
        return;
    to_record(row, raw_, record_);
    const RowOutcome outcome = builder_->add(record_);
    if (outcome == RowOutcome::reading)
        merged_.see(row, data_.tables.back().plan.table->headings);
    if (outcome == RowOutcome::new_table) {
        builder_.reset();
        hold_ = kNextRows;
        held_.push_back(row);
    }
}

void SheetReader::finish() {
    while (hold_ > 0 && !held_.empty())
        begin();
    merged_.tell(sheet_, data_.notes);
    if (!found_)
        data_.info.lines_skipped = 0; // not a table: nothing of it is counted
}

class WorkbookReader {
  public:
    WorkbookReader(const Input& input, const ReadContext& context, std::vector<Pools>& pools,
                   std::size_t first)
        : input_(input), context_(context), pools_(pools), first_(first) {}

    FileData run() {
        data_.info.source = input_.source;
        data_.info.encoding = "workbook";
        data_.encoding_found = "zip signature";
        if (auto done = read(); !done) {
            FileData refused;
            refused.info.source = input_.source;
            refused.info.encoding = "workbook";
            refused.info.refused = true;
            refused.info.refusal = std::move(done.error());
            refused.info.refusal.file = input_.source;
            refused.discarded = true;
            return refused;
        }
        return std::move(data_);
    }

  private:
    Result<void> read();
    void add(FileData& sheet);
    void tell_hidden(const xlsx::Book& book);

    const Input& input_;
    const ReadContext& context_;
    std::vector<Pools>& pools_;
    std::size_t first_;
    FileData data_;
};

void WorkbookReader::add(FileData& sheet) {
    const auto append = [](auto& to, auto& from) {
        to.insert(to.end(), std::make_move_iterator(from.begin()), std::make_move_iterator(from.end()));
    };
    append(data_.tables, sheet.tables);
    append(data_.notes, sheet.notes);
    append(data_.info.preamble, sheet.info.preamble);
    data_.info.lines_skipped += sheet.info.lines_skipped;
}

// Whoever hid a sheet may have meant it to be left out or only out of sight.
void WorkbookReader::tell_hidden(const xlsx::Book& book) {
    for (const xlsx::SheetInfo& sheet : book.sheets()) {
        if (sheet.visible)
            continue;
        IntakeNote note;
        note.code = "layout-doubtful";
        note.sheet = sheet.name;
        note.message = fmt::format("sheet `{}` is hidden and not read", sheet.name);
        note.help = "show it in a spreadsheet program if its readings count; --sheet reads it alone";
        data_.notes.push_back(std::move(note));
    }
}

Result<void> WorkbookReader::read() {
    const auto bytes = read_all(*input_.bytes);
    if (!bytes)
        return tl::unexpected(bytes.error());
    const auto book = xlsx::Book::open(*bytes);
    if (!book)
        return tl::unexpected(book.error());
    const auto sheets = sheets_to_read(*book, context_.options.sheet);
    if (!sheets)
        return tl::unexpected(sheets.error());
    if (!context_.options.sheet)
        tell_hidden(*book);
    std::string without;
    for (const std::size_t index : *sheets) {
        const std::string& name = book->sheets()[index].name;
        const auto fresh = [&] {
            return std::make_unique<SheetReader>(context_, pools_[first_], first_, name);
        };
        std::unique_ptr<SheetReader> reader = fresh();
        const auto take = [&](const xlsx::SheetRow& row) {
            reader->take(row);
            return reader->wants_more();
        };
        const auto restart = [&] {
            data_.discarded = data_.discarded || reader->found(); // its texts stay in the pools
            reader = fresh();
        };
        if (auto done = xlsx::sheet_to_records(*book, index, take, restart); !done)
            return done;
        reader->finish();
        add(reader->data());
        if (reader->found())
            continue;
        without += (without.empty() ? "`" : ", `") + name + "`";
        IntakeNote note;
        note.code = "layout-doubtful";
        note.sheet = name;
        note.message =
            fmt::format("sheet `{}` has no heading row that names a constituent and is not read", name);
        note.help = "name the headings in the rules file (\"columns\"), or give --header-row";
        data_.notes.push_back(std::move(note));
    }
    if (data_.tables.empty())
        return fail(fmt::format("no sheet has a heading row that names a constituent; looked at {}",
                                without.empty() ? "none, all are hidden" : without),
                    "name the headings in the rules file (\"columns\"), or give --sheet and --header-row");
    return {};
}

} // namespace

bool is_workbook(const Input& input) {
    const auto top = read_some(*input.bytes, 0, 64);
    return top && xlsx::looks_like_book(*top);
}

FileData read_workbook(const Input& input, const ReadContext& context, std::vector<Pools>& pools,
                       std::size_t first) {
    return WorkbookReader(input, context, pools, first).run();
}

} // namespace thresh::intake
