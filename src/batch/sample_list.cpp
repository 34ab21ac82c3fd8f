// Texts lie one behind the other in a store that never moves what it holds. A text that the row before states
// too, such as its line's name, is kept once.
#include <thresh/batch/sample_list.hpp>

#include <algorithm>

namespace thresh::batch {

namespace {

constexpr std::array<std::string ListEntry::*, static_cast<std::size_t>(ListText::count)> kTexts = {
    &ListEntry::sample,    &ListEntry::line,     &ListEntry::trial,      &ListEntry::environment,
    &ListEntry::year,      &ListEntry::rep,      &ListEntry::block,      &ListEntry::plot,
    &ListEntry::material,  &ListEntry::kind,     &ListEntry::generation, &ListEntry::oil_type,
    &ListEntry::seed_coat, &ListEntry::location, &ListEntry::due,        &ListEntry::duplicate_of};

} // namespace

std::string& ListEntry::text(ListText which) {
    return this->*kTexts[static_cast<std::size_t>(which)];
}
const std::string& ListEntry::text(ListText which) const {
    return this->*kTexts[static_cast<std::size_t>(which)];
}

void SampleList::reserve(std::size_t rows) {
    row_line_.reserve(rows);
    said_.reserve(rows);
}

void SampleList::put(Column& column, std::string_view text) {
    if (text.empty() && column.empty())
        return;
    if (column.empty())
        column.reserve(row_line_.capacity());
    column.resize(row_line_.size()); // blank in the rows before
    if (text.empty()) {
        column.emplace_back();
    } else if (!column.empty() && column.back() == text) {
        column.push_back(column.back());
    } else {
        if (!texts_)
            texts_ = std::make_unique<std::pmr::monotonic_buffer_resource>();
        char* to = static_cast<char*>(texts_->allocate(text.size(), 1));
        std::copy(text.begin(), text.end(), to);
        column.emplace_back(to, text.size());
    }
}

void SampleList::add(const ListEntry& entry) {
    for (std::size_t which = 0; which < kTexts.size(); ++which)
        put(columns_[which], entry.*kTexts[which]);
    put(sheet_, entry.sheet);
    if (entry.mass_g && mass_g_.empty())
        mass_g_.resize(row_line_.size());
    if (entry.mass_g || !mass_g_.empty())
        mass_g_.push_back(entry.mass_g);
    said_.push_back(static_cast<std::uint8_t>((entry.keep_whole ? kKeepWhole : 0) |
                                              (entry.treated ? kTreated : 0) |
                                              (entry.is_check ? kCheck : 0)));
    row_line_.push_back(entry.row_line);
}

} // namespace thresh::batch
