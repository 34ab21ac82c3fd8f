// The first byte says what the rest is: a whole archive, or one part of a book whose other parts are sound.
// The reader must end with rows or with a refusal; sanitizers and libFuzzer's limits on time and memory judge
// it.
#include "intake/xlsx/rows.hpp"
#include "unit/intake/xlsx_maker.hpp"

#include <cstddef>
#include <cstdint>
#include <cstdlib>

using namespace thresh;

namespace {

std::string book_around(std::size_t choice, std::string_view part) {
    static const char* const names[] = {
        "xl/worksheets/sheet1.xml", "xl/sharedStrings.xml",       "xl/styles.xml",
        "xl/workbook.xml",          "xl/_rels/workbook.xml.rels", "_rels/.rels"};
    test::Parts parts =
        test::book_parts({.rows = "<row r=\"1\"><c r=\"A1\" t=\"s\"><v>0</v></c><c s=\"1\"><v>45292.5"
                                  "</v></c></row>",
                          .shared = "<si><t>Sample</t></si>",
                          .styles = "<xf numFmtId=\"0\"/><xf numFmtId=\"22\"/>"});
    test::set_part(parts, names[choice % std::size(names)], std::string(part));
    return test::make_zip(parts);
}

void read_all(std::string_view bytes) {
    const auto book = intake::xlsx::Book::open(bytes);
    if (!book) {
        if (book.error().message.empty() || book.error().help.empty())
            std::abort(); // a refusal says why
        return;
    }
    for (std::size_t i = 0; i < book->sheets().size() && i < 4; ++i) {
        std::uint32_t last = 0;
        const auto read = intake::xlsx::sheet_to_records(
            *book, i,
            [&](const intake::xlsx::SheetRow& row) {
                if (row.row <= last || row.cells.empty())
                    std::abort(); // rows rise and hold something
                last = row.row;
                intake::xlsx::SheetRow heading = row;
                intake::xlsx::spread_spans(heading);
                return true;
            },
            [&] { last = 0; });
        if (!read && read.error().message.empty())
            std::abort();
    }
}

} // namespace

extern "C" int LLVMFuzzerTestOneInput(const std::uint8_t* data, std::size_t size) {
    if (size == 0)
        return 0;
    const std::string_view rest(reinterpret_cast<const char*>(data) + 1, size - 1);
    if (data[0] % 8 == 0)
        read_all(rest);
    else
        read_all(book_around(data[0] % 8 - 1U, rest));
    return 0;
}
