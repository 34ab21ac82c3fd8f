#include "report/workbook/read_back.hpp"

#include <fmt/format.h>
#include <memory>
#include <minizip/unzip.h>
#include <string_view>
#include <vector>

namespace thresh::report {

namespace {

constexpr std::string_view kRow = "<row ", kEnd = "</worksheet>";

// Counts rows across the pieces that a part is read in.
class RowCounter {
  public:
    void take(std::string_view piece) {
        text_ += piece;
        std::size_t at = 0;
        for (std::size_t found = text_.find(kRow); found != std::string::npos; found = text_.find(kRow, at)) {
            ++rows_;
            at = found + kRow.size();
        }
        // What may be the start of a row, or the end of the part, is kept.
        const std::size_t keep = std::min(text_.size() - at, kEnd.size());
        text_.erase(0, text_.size() - keep);
    }
    std::size_t rows() const { return rows_; }
    bool ended() const { return std::string_view(text_).ends_with(kEnd); }

  private:
    std::string text_;
    std::size_t rows_ = 0;
};

} // namespace

Result<void> read_back(const std::string& path, std::span<const std::size_t> rows) {
    const auto broken = [&](const std::string& what) {
        return fail(fmt::format("was not written whole: {}", what),
                    "free some space and run again, or leave the workbook out with --only", path);
    };
    const std::unique_ptr<void, int (*)(unzFile)> zip(unzOpen64(path.c_str()), unzClose);
    if (zip == nullptr)
        return broken("it cannot be opened");
    std::vector<char> room(1U << 16U);
    for (std::size_t i = 0; i < rows.size(); ++i) {
        const std::string part = fmt::format("xl/worksheets/sheet{}.xml", i + 1);
        if (unzLocateFile(zip.get(), part.c_str(), 1) != UNZ_OK || unzOpenCurrentFile(zip.get()) != UNZ_OK)
            return broken(fmt::format("{} is missing", part));
        RowCounter counter;
        int read = 0;
        while ((read = unzReadCurrentFile(zip.get(), room.data(), static_cast<unsigned>(room.size()))) > 0)
            counter.take({room.data(), static_cast<std::size_t>(read)});
        if (unzCloseCurrentFile(zip.get()) != UNZ_OK || read < 0)
            return broken(fmt::format("{} is damaged", part));
        if (!counter.ended() || counter.rows() != rows[i])
            return broken(fmt::format("{} holds {} rows of {}", part, counter.rows(), rows[i]));
    }
    return {};
}

} // namespace thresh::report
