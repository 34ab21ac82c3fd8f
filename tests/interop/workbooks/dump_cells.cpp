// dump_cells BOOK: every cell of every sheet as one line `sheet TAB cell TAB kind TAB text`, control
// characters and backslashes escaped. Refusals go to standard error, with status 3. dump_cells --time BOOK:
// reads all sheets as rows and prints cells, seconds and peak memory above the book;
// status 1 when that is more than 20 MiB.
#include "read_file.hpp"

#include "intake/xlsx/rows.hpp"

#include <chrono>
#include <fmt/format.h>
#include <string_view>
#include <sys/resource.h>

using namespace thresh::intake::xlsx;

namespace {

std::string escaped(std::string_view text) {
    std::string line;
    for (const char c : text) {
        if (c == '\\')
            line += "\\\\";
        else if (static_cast<unsigned char>(c) < 0x20)
            line += fmt::format("\\x{:02x}", static_cast<unsigned>(c));
        else
            line += c;
    }
    return line;
}

class Printer : public CellSink {
  public:
    explicit Printer(std::string sheet) : sheet_(std::move(sheet)) {}
    bool cell(const Cell& cell) override {
        if (cell.kind == CellKind::missing || (cell.kind == CellKind::text && cell.text.empty()))
            return true;
        constexpr std::string_view names[] = {"missing", "text",  "number",    "date",
                                              "boolean", "error", "uncomputed"};
        fmt::print("{}\t{}\t{}\t{}\n", sheet_, place_name(cell.row, cell.column),
                   names[static_cast<std::size_t>(cell.kind)], escaped(cell.text));
        return true;
    }

  private:
    std::string sheet_;
};

long peak_kib() {
    rusage usage{};
    getrusage(RUSAGE_SELF, &usage);
    return usage.ru_maxrss;
}

int report(const thresh::Error& error) {
    fmt::print(stderr, "{}\n", thresh::describe(error));
    return 3;
}

constexpr long most_kib = 20 * 1024; // above the book, whatever its size

int time_it(const std::string& bytes) {
    const long before = peak_kib();
    const auto start = std::chrono::steady_clock::now();
    const auto book = Book::open(bytes);
    if (!book)
        return report(book.error());
    std::size_t cells = 0, text = 0;
    for (std::size_t i = 0; i < book->sheets().size(); ++i) {
        const auto read = sheet_to_records(
            *book, i,
            [&](const SheetRow& row) {
                cells += row.cells.size();
                for (const SheetCell& cell : row.cells)
                    text += cell.text.size();
                return true;
            },
            [&] { cells = text = 0; });
        if (!read)
            return report(read.error());
    }
    const std::chrono::duration<double> taken = std::chrono::steady_clock::now() - start;
    fmt::print("{} cells, {} bytes of text, {:.3f} s, {} KiB above the book\n", cells, text, taken.count(),
               peak_kib() - before);
    return peak_kib() - before > most_kib ? 1 : 0;
}

} // namespace

int main(int argc, char** argv) {
    if (argc == 3 && std::string_view(argv[1]) == "--time")
        return time_it(read_file(argv[2]));
    if (argc != 2)
        return 2;
    const std::string bytes = read_file(argv[1]);
    const auto book = Book::open(bytes);
    if (!book)
        return report(book.error());
    for (std::size_t i = 0; i < book->sheets().size(); ++i) {
        Printer printer(escaped(book->sheets()[i].name));
        if (const auto read = book->read_sheet(i, printer); !read)
            return report(read.error());
    }
    return 0;
}
