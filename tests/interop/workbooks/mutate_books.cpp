// mutate_books COUNT BOOK...: reads COUNT damaged versions of the given books and prints what came out.
// Version i depends on i alone. Half of them damage the archive, half a part that is then packed again, so
// that the XML readers see it too. A crash or a sanitizer's finding ends the program; a version that takes
// over 20 seconds, or a peak above 1 GiB, fails it.
#include "read_file.hpp"

#include "intake/xlsx/archive.hpp"
#include "intake/xlsx/rows.hpp"
#include "unit/intake/xlsx_maker.hpp"

#include <chrono>
#include <cstdlib>
#include <fmt/format.h>
#include <minizip/unzip.h>
#include <sys/resource.h>
#include <vector>

using namespace thresh;

namespace {

class Dice { // splitmix64
  public:
    explicit Dice(std::uint64_t seed) : state_(seed) {}
    std::size_t below(std::size_t bound) { return bound == 0 ? 0 : static_cast<std::size_t>(next() % bound); }

  private:
    std::uint64_t next() {
        std::uint64_t z = state_ += 0x9E3779B97F4A7C15ULL;
        z = (z ^ (z >> 30)) * 0xBF58476D1CE4E5B9ULL;
        z = (z ^ (z >> 27)) * 0x94D049BB133111EBULL;
        return z ^ (z >> 31);
    }
    std::uint64_t state_;
};

struct Seed {
    std::string bytes;
    test::Parts parts; // empty when the archive cannot be read
};

test::Parts parts_of(const std::string& path, const std::string& bytes) {
    test::Parts parts;
    unzFile zip = unzOpen64(path.c_str());
    const auto archive = intake::xlsx::Archive::open(bytes, {});
    if (zip == nullptr || !archive)
        return parts;
    for (int rc = unzGoToFirstFile(zip); rc == UNZ_OK; rc = unzGoToNextFile(zip)) {
        char name[512] = {};
        unzGetCurrentFileInfo64(zip, nullptr, name, sizeof name - 1, nullptr, 0, nullptr, 0);
        std::string content;
        const auto read = archive->stream(name, [&](std::string_view chunk) {
            content += chunk;
            return content.size() < (1U << 22);
        });
        if (read)
            parts.emplace_back(name, content);
    }
    unzClose(zip);
    return parts;
}

void damage(std::string& bytes, Dice& dice) {
    static constexpr std::string_view words[] = {
        "<row>", "</row>",     "<c r=\"A1\">", "<!DOCTYPE a [", "]]>",   "<![CDATA[",
        "-1",    "9999999999", "<is><t>",      "</c>",          "\"",    "t=\"s\"",
        "1e308", "PK\x03\x04", "s=\"999\"",    "<f>",           "&amp;", "../../"};
    const std::size_t edits = 1 + dice.below(4);
    for (std::size_t i = 0; i < edits && !bytes.empty(); ++i) {
        const std::size_t at = dice.below(bytes.size());
        const std::size_t length = std::min(bytes.size() - at, 1 + dice.below(200));
        switch (dice.below(6)) {
        case 0:
            bytes[at] = static_cast<char>(dice.below(256));
            break;
        case 1:
            bytes[at] = static_cast<char>(bytes[at] ^ (1 << dice.below(8)));
            break;
        case 2:
            bytes.erase(at, length);
            break;
        case 3:
            bytes.insert(dice.below(bytes.size()), bytes.substr(at, length));
            break;
        case 4:
            bytes.insert(at, words[dice.below(std::size(words))]);
            break;
        default:
            if (dice.below(8) == 0)
                bytes.resize(at);
            else
                bytes.replace(at, std::min<std::size_t>(length, 4), "\xFF\xFF\xFF\xFF");
        }
    }
}

std::string damaged_version(const Seed& seed, Dice& dice) {
    if (seed.parts.empty() || dice.below(2) == 0) {
        std::string bytes = seed.bytes;
        damage(bytes, dice);
        return bytes;
    }
    test::Parts parts = seed.parts;
    damage(parts[dice.below(parts.size())].second, dice);
    return test::make_zip(parts);
}

// True when the whole book could be read.
bool read_all(std::string_view bytes) {
    const auto book = intake::xlsx::Book::open(bytes);
    if (!book)
        return false;
    bool whole = true;
    std::size_t length = 0;
    for (std::size_t i = 0; i < book->sheets().size(); ++i)
        whole = intake::xlsx::sheet_to_records(
                    *book, i,
                    [&](const intake::xlsx::SheetRow& row) {
                        intake::xlsx::SheetRow copy = row;
                        intake::xlsx::spread_spans(copy);
                        for (const auto& cell : copy.cells)
                            length += cell.text.size();
                        return true;
                    },
                    [] {}) &&
                whole;
    return whole && length < SIZE_MAX;
}

} // namespace

int main(int argc, char** argv) {
    if (argc < 3)
        return 2;
    std::vector<Seed> seeds;
    for (int i = 2; i < argc; ++i) {
        Seed seed{read_file(argv[i]), {}};
        seed.parts = parts_of(argv[i], seed.bytes);
        if (!seed.bytes.empty())
            seeds.push_back(std::move(seed));
    }
    if (seeds.empty())
        return 2;
    const auto count = static_cast<std::size_t>(std::strtoull(argv[1], nullptr, 10));
    std::size_t whole = 0;
    double slowest = 0;
    for (std::size_t i = 0; i < count; ++i) {
        Dice dice(i);
        const std::string bytes = damaged_version(seeds[i % seeds.size()], dice);
        const auto start = std::chrono::steady_clock::now();
        whole += read_all(bytes) ? 1 : 0;
        const std::chrono::duration<double> taken = std::chrono::steady_clock::now() - start;
        slowest = std::max(slowest, taken.count());
        if (taken.count() > 20)
            fmt::print("version {} took {:.1f} s\n", i, taken.count());
    }
    rusage usage{};
    getrusage(RUSAGE_SELF, &usage);
    fmt::print("{} damaged books of {}: {} read, {} refused, slowest {:.2f} s, peak {} MiB\n", count,
               seeds.size(), whole, count - whole, slowest, usage.ru_maxrss / 1024);
    return slowest > 20 || usage.ru_maxrss > 1024 * 1024 ? 1 : 0;
}
