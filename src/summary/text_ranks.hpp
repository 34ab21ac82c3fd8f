// Numbers texts, and ranks them bytewise once all are known: then rows are sorted by numbers.
#pragma once

#include <algorithm>
#include <cstdint>
#include <string_view>
#include <unordered_map>
#include <utility>
#include <vector>

namespace thresh::summary {

class TextRanks {
  public:
    std::uint32_t number(std::string_view text) {
        if (numbers_.empty() || text != last_text_) {
            last_text_ = text;
            last_ = numbers_.try_emplace(text, static_cast<std::uint32_t>(numbers_.size())).first->second;
        }
        return last_;
    }
    // By number. The empty text comes first, or last.
    std::vector<std::uint32_t> ranks(bool empty_last) const {
        std::vector<std::pair<std::string_view, std::uint32_t>> sorted(numbers_.begin(), numbers_.end());
        std::sort(sorted.begin(), sorted.end());
        if (empty_last && !sorted.empty() && sorted.front().first.empty())
            std::rotate(sorted.begin(), sorted.begin() + 1, sorted.end());
        std::vector<std::uint32_t> ranks(sorted.size());
        for (std::size_t rank = 0; rank < sorted.size(); ++rank)
            ranks[sorted[rank].second] = static_cast<std::uint32_t>(rank);
        return ranks;
    }

  private:
    std::unordered_map<std::string_view, std::uint32_t> numbers_;
    std::string_view last_text_;
    std::uint32_t last_ = 0;
};

} // namespace thresh::summary
