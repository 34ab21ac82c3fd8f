// id-altered: an ID that looks as if a spreadsheet had taken it for a number or a date. Suspected are IDs
// that the sample list does not know, and listed ones that were not read when an unlisted ID may be what they
// were. A whole number of more than 15 digits looks like any other; of an unlisted one intake knows that it
// was a number in a workbook.
#include "rules/limits.hpp"

#include <algorithm>
#include <array>
#include <charconv>
#include <cmath>

namespace thresh::rules {

namespace {

constexpr Declaration kDeclared[] = {
    {"id-altered", Severity::review, About::sample, Phase::repeats, Action::correct_id,
     "an ID that a spreadsheet seems to have changed",
     "the sample it belongs to has no reading, and this one no line",
     "enter `rename` in the decisions file; format the ID column as text before typing or pasting IDs",
     "spellings that spreadsheet programs make of IDs: 1.10E+05, 417.0, 12-Mar (common practice)"},
};

std::optional<double> as_number(std::string_view text, std::chars_format format) {
    double value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value, format);
    if (error != std::errc{} || end != text.data() + text.size() || !std::isfinite(value))
        return std::nullopt;
    return value;
}

bool all_digits(std::string_view text) {
    return !text.empty() &&
           std::all_of(text.begin(), text.end(), [](char c) { return c >= '0' && c <= '9'; });
}

// With a decimal point where a spreadsheet of another language wrote a comma: `1,10E+05`, `417,0`.
std::string with_point(std::string_view id) {
    std::string text(id);
    if (std::count(text.begin(), text.end(), ',') == 1 && text.find('.') == std::string::npos)
        std::replace(text.begin(), text.end(), ',', '.');
    return text;
}

// `1.10E+05`, `2.40417E+11`: mantissa with a point, exponent with a sign, as spreadsheets show large numbers.
std::optional<double> scientific(std::string_view id) {
    const std::size_t e = id.find_first_of("Ee");
    if (e == std::string_view::npos || e == 0 || e + 2 >= id.size() || (id[e + 1] != '+' && id[e + 1] != '-'))
        return std::nullopt;
    return as_number(id, std::chars_format::scientific);
}

// `417.0`
std::optional<double> dot_zero(std::string_view id) {
    const std::size_t point = id.find('.');
    if (point == std::string_view::npos || !all_digits(id.substr(0, point)) ||
        !all_digits(id.substr(point + 1)))
        return std::nullopt;
    if (id.substr(point + 1).find_first_not_of('0') != std::string_view::npos)
        return std::nullopt;
    return as_number(id.substr(0, point), std::chars_format::fixed);
}

struct DayMonth {
    unsigned a, b; // two numbers that a listed ID may have joined, in either order
};

// Number of the month whose English name `word` is or begins, three letters at least; else 0.
unsigned month_of(std::string_view word) {
    static constexpr std::array<std::string_view, 12> kMonths = {
        "january", "february", "march",     "april",   "may",      "june",
        "july",    "august",   "september", "october", "november", "december"};
    std::string lower(word);
    for (char& c : lower)
        if (c >= 'A' && c <= 'Z')
            c = static_cast<char>(c - 'A' + 'a');
    for (unsigned month = 0; month < kMonths.size(); ++month)
        if (word.size() >= 3 && kMonths[month].starts_with(lower))
            return month + 1;
    return 0;
}

// The day or month that a number of one or two digits may be; else 0.
unsigned number_of(std::string_view word) {
    unsigned value = 0;
    return all_digits(word) && word.size() <= 2 &&
                   std::from_chars(word.data(), word.data() + word.size(), value).ec == std::errc{}
               ? value
               : 0;
}

// The two numbers of a listed ID that spreadsheets take for a day: `3-12`, `12/3`, `MAR12`, `SEPT-1`.
std::optional<DayMonth> two_numbers(std::string_view id) {
    const auto is_digit = [](char c) { return c >= '0' && c <= '9'; };
    std::vector<std::string_view> parts;
    for (std::size_t at = 0; at < id.size();) {
        std::size_t end = at;
        while (end < id.size() && std::string_view("-/. ").find(id[end]) == std::string_view::npos &&
               is_digit(id[end]) == is_digit(id[at]))
            ++end;
        if (end > at)
            parts.push_back(id.substr(at, end - at));
        at = end > at ? end : at + 1;
    }
    if (parts.size() != 2)
        return std::nullopt;
    const auto part = [](std::string_view text) { return std::max(number_of(text), month_of(text)); };
    if (part(parts[0]) == 0 || part(parts[1]) == 0)
        return std::nullopt;
    return DayMonth{part(parts[0]), part(parts[1])};
}

// `12-Mar`, `Mar-12`, `2026-03-12`, `12/03/2026`, `12.03.2026`
std::optional<DayMonth> date(std::string_view id) {
    std::vector<std::string_view> parts;
    for (std::size_t at = 0; at <= id.size();) {
        const std::size_t mark = std::min(id.find_first_of("-/. ", at), id.size());
        parts.push_back(id.substr(at, mark - at));
        at = mark + 1;
    }
    if (parts.size() == 2) {
        for (const auto& [month_part, number_part] :
             {std::pair(parts[1], parts[0]), std::pair(parts[0], parts[1])})
            if (month_part.size() == 3 && month_of(month_part) != 0 && number_of(number_part) != 0)
                return DayMonth{number_of(number_part), month_of(month_part)};
    }
    if (parts.size() != 3)
        return std::nullopt;
    const bool year_first = all_digits(parts[0]) && parts[0].size() == 4;
    const bool year_last = all_digits(parts[2]) && parts[2].size() == 4;
    if (year_first == year_last)
        return std::nullopt;
    const unsigned a = number_of(parts[year_first ? 1 : 0]), b = number_of(parts[year_first ? 2 : 1]);
    if (a == 0 || b == 0 || a > 31 || b > 31 || (a > 12 && b > 12))
        return std::nullopt;
    return DayMonth{a, b};
}

// Whether an ID has no other characters than numbers and dates have, and no letters but one E or the three of
// a month: nearly every ID is told by this not to be altered.
bool may_be_number_or_date(std::string_view id) {
    std::size_t letters = 0, last = 0; // how many, and the place behind the last
    for (std::size_t i = 0; i < id.size(); ++i) {
        const char c = id[i];
        if ((c >= '0' && c <= '9') || c == '-' || c == '.' || c == '/' || c == ' ' || c == ',' || c == '+')
            continue;
        const bool letter = (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z');
        if (!letter || (letters > 0 && last != i))
            return false;
        ++letters;
        last = i + 1;
    }
    return letters == 0 || letters == 1 || letters == 3;
}

constexpr std::size_t kKeptDigits = 15; // of a number, by spreadsheet programs

// `2026010000012340`: the digits behind the 15th are zeros, as spreadsheets make them.
bool cut_to_zeros(std::string_view id) {
    return all_digits(id) && id.size() > kKeptDigits &&
           id.find_first_not_of('0', kKeptDigits) == std::string_view::npos;
}

// Whether all digits of a long number can be those that were entered: behind the 15th they are not all
// zeros, and a workbook's number, which is a double, holds it exactly.
bool kept_whole(std::string_view id) {
    constexpr std::string_view kLargestExact = "9007199254740992"; // 2^53
    return !cut_to_zeros(id) && id.size() <= kLargestExact.size() && id <= kLargestExact;
}

// What an altered ID may have been: a number at the precision that is still shown, or two numbers.
class Original {
  public:
    static std::optional<Original> of(std::string_view exported) {
        if (!may_be_number_or_date(exported))
            return std::nullopt;
        const std::string id = with_point(exported);
        Original original;
        if (cut_to_zeros(id)) {
            original.cut_ = id;
            return original;
        }
        if (const auto value = scientific(id)) {
            original.number_ = value;
            const std::size_t e = id.find_first_of("Ee"), point = id.find('.');
            original.decimals_ = point < e ? static_cast<int>(e - point - 1) : 0;
        } else if (const auto whole = dot_zero(id)) {
            original.number_ = whole;
            original.decimals_ = 15;
        } else if (const auto days = date(id)) {
            original.days_ = days;
        } else {
            return std::nullopt;
        }
        return original;
    }

    bool may_be(std::string_view listed) const {
        if (!cut_.empty())
            return all_digits(listed) && listed.size() == cut_.size() &&
                   listed.substr(0, kKeptDigits) == std::string_view(cut_).substr(0, kKeptDigits);
        if (days_) {
            const auto numbers = two_numbers(listed);
            return numbers && ((numbers->a == days_->a && numbers->b == days_->b) ||
                               (numbers->a == days_->b && numbers->b == days_->a));
        }
        const auto value = as_number(listed, std::chars_format::general);
        return value &&
               fmt::format("{:.{}e}", *value, decimals_) == fmt::format("{:.{}e}", *number_, decimals_);
    }

  private:
    std::optional<double> number_;
    std::optional<DayMonth> days_;
    std::string cut_;
    int decimals_ = 0;
};

class IdAltered final : public Rule {
  public:
    std::span<const Declaration> declarations() const override { return kDeclared; }
    bool has_texts() const override { return true; }

    void check_batch(const Evidence& evidence, Sink& sink) const override {
        const batch::Batch& batch = evidence.batch;
        for (std::uint32_t s = 0; s < batch.samples.size(); ++s) {
            const auto rows = batch.rows_of(s);
            const bool listed = batch.samples[s].entry != kNone;
            if (listed != rows.empty())
                continue; // read as listed, or neither
            const std::string_view id = batch.samples[s].id;
            const auto original = Original::of(id);
            const bool number = !listed && was_number(id, evidence);
            if (!original && !number)
                continue;
            std::string candidates;
            for (std::uint32_t other = 0; original && other < batch.samples.size(); ++other) {
                const bool other_listed = batch.samples[other].entry != kNone;
                if (other_listed == listed || !original->may_be(batch.samples[other].id))
                    continue;
                candidates += fmt::format("{}`{}`", candidates.empty() ? "" : ", ", batch.samples[other].id);
            }
            if (candidates.empty() && (listed || (!number && cut_to_zeros(id))))
                continue;
            std::optional<Severity> own;
            if (number && kept_whole(id))
                own = sink.at_most(0, Severity::note);
            sink.subject(0, About::sample, s, listed ? kNone : rows.front(), kNoConstituent, own,
                         sink.keep(candidates));
        }
    }

    FindingText describe(unsigned, const Finding& finding, const Evidence& evidence) const override {
        const std::string& candidates = evidence.so_far.details[finding.detail];
        FindingText text;
        const bool listed = finding.row == kNone;
        const std::string_view id = evidence.batch.samples[finding.subject].id;
        const std::string maybe = candidates.empty() ? "" : "; it may have been " + candidates;
        if (!listed && was_number(id, evidence))
            text.message =
                fmt::format("`{}` is a number in the workbook, of which spreadsheets keep {} digits{}", id,
                            kKeptDigits, maybe);
        else
            text.message =
                fmt::format("`{}`{} looks like an ID that a spreadsheet took for a number or a date{}", id,
                            listed ? " in the sample list" : "", maybe);
        if (listed)
            text.action = "correct the ID in the sample list";
        return text;
    }

  private:
    static bool was_number(std::string_view id, const Evidence& evidence) {
        const auto& ids = evidence.batch.readings.number_ids;
        return std::binary_search(ids.begin(), ids.end(), id);
    }
};

} // namespace

const Rule& rule_id_altered() {
    static const IdAltered rule;
    return rule;
}

} // namespace thresh::rules
