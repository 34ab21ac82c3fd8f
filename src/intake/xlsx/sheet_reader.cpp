// A worksheet part is <sheetData> with rows of cells, and <mergeCells> behind it. Rows and cells may leave
// out where they are and then follow on the one before. Rows that go back, and places outside the grid,
// refuse the sheet: what it means could only be guessed.
#include "intake/xlsx/sheet_reader.hpp"

#include "intake/xlsx/cell_builder.hpp"
#include "intake/xlsx/errors.hpp"
#include "intake/xlsx/xml.hpp"

#include <charconv>
#include <fmt/format.h>

namespace thresh::intake::xlsx {

namespace {

class CellHandler : public XmlHandler {
  public:
    CellHandler(std::string_view part, const Limits& limits, const Book::Common& common, CellSink& sink)
        : part_(part), limits_(limits), sink_(sink), builder_(common) {}

    void start(std::string_view name, const Attributes& attributes) override {
        if (in_cell_)
            return start_in_cell(name);
        if (in_row_) {
            if (name == "c")
                begin_cell(attributes);
        } else if (in_data_) {
            if (name == "row")
                begin_row(attributes);
        } else if (name == "sheetData") {
            in_data_ = true;
        } else if (name == "mergeCell") {
            add_merged(attributes);
        }
    }

    void text(std::string_view piece) override {
        if (!collecting_)
            return;
        builder_.append(piece);
        if (builder_.collected() > limits_.cell_text_bytes)
            stop(too_large(part_, fmt::format("cell {} holds more than {} bytes",
                                              place_name(cell_.row, cell_.column), limits_.cell_text_bytes)));
    }

    void end(std::string_view name) override {
        if (in_cell_)
            return end_in_cell(name);
        if (in_row_) {
            if (name != "row")
                return;
            in_row_ = false;
            if (!sink_.row_end(row_))
                stop();
        } else if (in_data_ && name == "sheetData") {
            in_data_ = false;
        }
    }

    std::vector<MergedRange> take_merged() { return std::move(merged_); }

  private:
    void add_merged(const Attributes& attributes) {
        const std::string_view ref = attributes.find("ref").value_or("");
        const std::size_t colon = std::min(ref.find(':'), ref.size());
        const auto from = parse_place(ref.substr(0, colon));
        const auto to = colon == ref.size() ? from : parse_place(ref.substr(colon + 1));
        if (!from || !to || to->row < from->row || to->column < from->column)
            return stop(damaged(part_, fmt::format("`{}` is no range of cells to merge", ref.substr(0, 40))));
        if (merged_.size() >= limits_.merged_ranges)
            return stop(too_large(part_, fmt::format("more than {} merged ranges", limits_.merged_ranges)));
        merged_.push_back({from->row, to->row, from->column, to->column});
    }

    void start_in_cell(std::string_view name) {
        if (name == "v") {
            builder_.value_begins();
            collecting_ = true;
        } else if (name == "f") {
            builder_.formula();
        } else if (name == "is") {
            builder_.inline_text_begins();
            in_inline_ = true;
        } else if (name == "rPh") {
            in_hint_ = true; // how the text is pronounced
        } else if (name == "t") {
            collecting_ = in_inline_ && !in_hint_;
        }
    }

    void end_in_cell(std::string_view name) {
        if (name == "v" || name == "t")
            collecting_ = false;
        if (name == "rPh")
            in_hint_ = false;
        if (name == "is")
            in_inline_ = false;
        if (name == "c")
            finish_cell();
    }

    void begin_row(const Attributes& attributes) {
        in_row_ = true;
        std::uint32_t row = row_ + 1;
        if (const auto stated = attributes.find("r")) {
            const char* const last = stated->data() + stated->size();
            const auto [read_to, problem] = std::from_chars(stated->data(), last, row);
            if (problem != std::errc() || read_to != last || row > max_rows)
                return stop(damaged(part_, fmt::format("a row after row {} has no valid number", row_)));
            if (row <= row_)
                return stop(damaged(part_, fmt::format("row {} stands behind row {}", row, row_)));
        }
        if (row > max_rows)
            return stop(damaged(part_, "more rows than a sheet can have"));
        row_ = row;
        next_column_ = 0;
    }

    void begin_cell(const Attributes& attributes) {
        std::string_view place, type, style;
        for (const char** pair = attributes.pairs(); *pair != nullptr; pair += 2) {
            if (pair[0][0] == '\0' || pair[0][1] != '\0')
                continue; // only r, t and s matter
            if (pair[0][0] == 'r')
                place = pair[1];
            if (pair[0][0] == 't')
                type = pair[1];
            if (pair[0][0] == 's')
                style = pair[1];
        }
        cell_.row = row_;
        cell_.column = next_column_;
        misplaced_ = false;
        if (!place.empty()) {
            const auto stated = parse_place(place);
            misplaced_ = !stated || stated->row != row_;
            if (!misplaced_)
                cell_.column = stated->column;
        }
        if (cell_.column >= max_columns)
            return stop(damaged(part_, fmt::format("row {} is too wide", row_)));
        if (++cells_ > limits_.cells)
            return stop(too_large(part_, fmt::format("the sheet holds more than {} cells", limits_.cells)));
        next_column_ = cell_.column + 1;
        in_cell_ = true;
        collecting_ = in_inline_ = in_hint_ = false;
        builder_.begin(type, style);
    }

    void finish_cell() {
        in_cell_ = collecting_ = false;
        if (!builder_.finish(cell_))
            return stop(damaged(part_, fmt::format("cell {} refers to a text that the workbook lacks",
                                                   place_name(cell_.row, cell_.column))));
        if (misplaced_ && cell_.kind != CellKind::missing)
            return stop(damaged(part_, fmt::format("row {} holds a cell that is not in it", row_)));
        if (!misplaced_ && !sink_.cell(cell_))
            stop();
    }

    std::string_view part_;
    const Limits& limits_;
    CellSink& sink_;
    CellBuilder builder_;
    Cell cell_;
    std::vector<MergedRange> merged_;
    std::uint32_t row_ = 0;
    std::uint32_t next_column_ = 0;
    std::uint64_t cells_ = 0;
    bool in_data_ = false, in_row_ = false, in_cell_ = false;
    bool misplaced_ = false; // the cell says that it is in another row; harmless while it is empty
    bool collecting_ = false, in_inline_ = false, in_hint_ = false;
};

} // namespace

Result<std::vector<MergedRange>> stream_cells(const Archive& archive, std::string_view part,
                                              const Book::Common& common, CellSink& sink) {
    CellHandler handler(part, archive.limits(), common, sink);
    if (auto read = parse_part(archive, part, handler); !read)
        return tl::unexpected(std::move(read.error()));
    return handler.take_merged();
}

} // namespace thresh::intake::xlsx
