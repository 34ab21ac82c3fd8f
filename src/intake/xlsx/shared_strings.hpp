// The texts that a book keeps once and its cells refer to by number.
#pragma once

#include "intake/xlsx/archive.hpp"

#include <cstdint>
#include <string>
#include <string_view>
#include <vector>

namespace thresh::intake::xlsx {

// All texts in one run of bytes and where each ends: four bytes beside each text.
class SharedStrings {
  public:
    std::size_t size() const { return ends_.size(); }
    // `index` < size().
    std::string_view operator[](std::size_t index) const {
        const std::size_t begin = index == 0 ? 0 : ends_[index - 1];
        return std::string_view(text_).substr(begin, ends_[index] - begin);
    }

    void append(std::string_view piece) { text_ += piece; } // to the string that finish() will end
    void finish();
    std::size_t text_bytes() const { return text_.size(); }
    void trim() {
        text_.shrink_to_fit();
        ends_.shrink_to_fit();
    }

  private:
    std::string text_;
    std::vector<std::uint32_t> ends_;
};

// Every entry counts, also an empty one. The runs of rich text are joined and phonetic hints left out.
Result<SharedStrings> read_shared_strings(const Archive& archive, std::string_view part);

// Texts escape characters that XML cannot hold as _xHHHH_ (ECMA-376 part 1, 22.9.2.19). Undoes it from `from`
// on; what would be no character (NUL, half of a pair) stays as it is written.
void undo_escapes(std::string& text, std::size_t from = 0);

} // namespace thresh::intake::xlsx
