// Opening a book: archive, part that lists the sheets, its relationships, then styles and shared strings.
// Only relationships say which part is which; the usual names are a fallback for books without a list.
#include "intake/xlsx/book.hpp"

#include "intake/xlsx/errors.hpp"
#include "intake/xlsx/package.hpp"
#include "intake/xlsx/sheet_reader.hpp"
#include "intake/xlsx/styles.hpp"
#include "intake/xlsx/xml.hpp"

#include <cassert>

namespace thresh::intake::xlsx {

namespace {

class WorkbookHandler : public XmlHandler {
  public:
    WorkbookHandler(std::string_view part, std::size_t limit) : part_(part), limit_(limit) {}

    struct Listed {
        SheetInfo info;
        std::string id;
    };
    std::vector<Listed> sheets;
    bool system_1904 = false;
    bool results_stale = false;

    void start(std::string_view name, const Attributes& attributes) override {
        if (name == "sheets")
            in_sheets_ = true;
        // Extensions behind the sheets have tags of the same name without these attributes.
        if (name == "workbookPr")
            system_1904 = system_1904 || attributes.is_true("date1904");
        if (name == "calcPr")
            results_stale = results_stale || attributes.is_true("fullCalcOnLoad");
        if (name != "sheet" || !in_sheets_)
            return;
        if (sheets.size() >= limit_)
            return stop(too_large(part_, "too many sheets"));
        const std::string_view state = attributes.find("state").value_or("visible");
        sheets.push_back({{std::string(attributes.find("name").value_or("")), state == "visible"},
                          std::string(attributes.find("id").value_or(""))});
    }

    void end(std::string_view name) override {
        if (name == "sheets")
            in_sheets_ = false;
    }

  private:
    std::string_view part_;
    std::size_t limit_;
    bool in_sheets_ = false;
};

// Part of a given type, or the usual name when the list lacks it; empty when the archive has neither.
std::string part_of_type(const Archive& archive, const std::vector<Relationship>& list, std::string_view type,
                         std::string_view usual) {
    for (const Relationship& one : list)
        if (one.type == type && archive.has(one.target))
            return one.target;
    return archive.has(usual) ? std::string(usual) : std::string();
}

} // namespace

bool looks_like_book(std::string_view bytes) {
    return bytes.starts_with("PK\x03\x04") || bytes.starts_with("PK\x05\x06") ||
           bytes.starts_with("\xD0\xCF\x11\xE0");
}

Result<Book> Book::open(std::string_view bytes, const Limits& limits) {
    auto archive = Archive::open(bytes, limits);
    if (!archive)
        return tl::unexpected(archive.error());
    Book book;
    book.archive_ = std::move(*archive);
    const auto workbook = find_workbook_part(book.archive_);
    if (!workbook)
        return tl::unexpected(workbook.error());
    WorkbookHandler listed(*workbook, limits.sheets);
    if (auto read = parse_part(book.archive_, *workbook, listed); !read)
        return tl::unexpected(read.error());
    const auto relationships = read_relationships(book.archive_, *workbook);
    if (!relationships)
        return tl::unexpected(relationships.error());

    for (WorkbookHandler::Listed& sheet : listed.sheets) {
        const Relationship* target = nullptr;
        for (const Relationship& one : *relationships)
            if (one.id == sheet.id)
                target = &one;
        if (target == nullptr)
            return tl::unexpected(damaged(*workbook, "sheet `" + sheet.info.name + "` points at no part"));
        if (target->type != "worksheet")
            continue; // chart sheets and the like
        if (target->target.empty() || !book.archive_.has(target->target))
            return tl::unexpected(damaged(*workbook, "sheet `" + sheet.info.name +
                                                         "` points at a part that the archive lacks"));
        book.sheets_.push_back(std::move(sheet.info));
        book.parts_.push_back(target->target);
    }
    if (book.sheets_.empty())
        return tl::unexpected(damaged(*workbook, "the workbook holds no sheet with cells"));

    book.common_.system_1904 = listed.system_1904;
    book.common_.results_stale = listed.results_stale;
    if (const auto part = part_of_type(book.archive_, *relationships, "styles", "xl/styles.xml");
        !part.empty()) {
        auto formats = read_styles(book.archive_, part);
        if (!formats)
            return tl::unexpected(formats.error());
        book.common_.formats = std::move(*formats);
    }
    if (const auto part =
            part_of_type(book.archive_, *relationships, "sharedStrings", "xl/sharedStrings.xml");
        !part.empty()) {
        auto strings = read_shared_strings(book.archive_, part);
        if (!strings)
            return tl::unexpected(strings.error());
        book.common_.strings = std::move(*strings);
    }
    return book;
}

Result<std::vector<MergedRange>> Book::read_sheet(std::size_t index, CellSink& sink) const {
    assert(index < parts_.size());
    return stream_cells(archive_, parts_[index], common_, sink);
}

} // namespace thresh::intake::xlsx
