// Shape of a message: place, severity and code first, so that editors and grep find them; then the line it
// is about with a caret; then the way out.
#include "cli/messages.hpp"

#include <fmt/format.h>
#include <map>
#include <thresh/intake/exports.hpp>
#include <thresh/report/inert_text.hpp>

namespace thresh::cli {

namespace {

constexpr std::size_t kShownOfEachCode = 5;
constexpr std::size_t kExcerptWidth = 100; // characters of a long line, around the caret

struct Ink {
    const char *bold, *strong, *weak, *off;
};
constexpr Ink kPlain{"", "", "", ""};
constexpr Ink kColored{"\x1b[1m", "\x1b[1;35m", "\x1b[36m", "\x1b[0m"};

std::string place_text(const rules::FindingPlace& place, std::uint32_t column) {
    if (place.source.empty())
        return "thresh";
    std::string text = report::inert_text(place.source);
    if (!place.sheet.empty()) {
        text += fmt::format("[{}]", report::inert_text(place.sheet));
        if (place.line > 0)
            text += fmt::format("!{}{}", place.position ? sheet_column(*place.position) : "A", place.line);
        return text;
    }
    if (place.line > 0)
        text += fmt::format(":{}", place.line);
    if (place.line > 0 && column > 0)
        text += fmt::format(":{}", column);
    return text;
}

// `count` characters of UTF-8 text from character `start` on.
std::string characters(const std::string& text, std::size_t start, std::size_t count) {
    std::string cut;
    std::size_t at = 0;
    for (const char c : text) {
        const bool begins = (static_cast<unsigned char>(c) & 0xC0U) != 0x80U;
        if (begins)
            ++at;
        if (at > start + count)
            break;
        if (at > start)
            cut += c;
    }
    return cut;
}

// The excerpt's two lines: the source line cut around the cell, and the caret below it.
std::string excerpt(const intake::RecordText& record, const Ink& ink) {
    const std::string shown = report::inert_text(record.line);
    // Positions are characters; cut by bytes only where no character is split.
    std::size_t start = 0;
    const std::size_t caret = record.column > 0 ? record.column - 1 : 0;
    if (caret > kExcerptWidth * 2 / 3)
        start = caret - kExcerptWidth * 2 / 3;
    const std::string cut = characters(shown, start, kExcerptWidth);
    const std::string number = fmt::format("{:>5}", record.line_number);
    std::string text = fmt::format("{}{} |{} {}{}\n", ink.weak, number, ink.off, start > 0 ? "..." : "", cut);
    if (record.column > 0)
        text += fmt::format("{}{} |{} {}{}{}{}\n", ink.weak, std::string(number.size(), ' '), ink.off,
                            std::string(caret - start + (start > 0 ? 3 : 0), ' '), ink.strong,
                            std::string(std::max<std::size_t>(1, record.width), '^'), ink.off);
    return text;
}

} // namespace

std::string sheet_column(std::uint32_t position) {
    std::string letters;
    for (std::uint32_t n = position + 1; n > 0; n = (n - 1) / 26)
        letters.insert(letters.begin(), static_cast<char>('A' + (n - 1) % 26));
    return letters;
}

std::string error_message(const Error& error, bool color) {
    const Ink& ink = color ? kColored : kPlain;
    std::string place;
    if (!error.file.empty()) {
        place = report::inert_text(error.file);
        if (error.line > 0)
            place += fmt::format(":{}", error.line);
        if (error.line > 0 && error.column > 0)
            place += fmt::format(":{}", error.column);
    }
    std::string text = fmt::format("{}{}:{} {}error{}: {}\n", ink.bold, place.empty() ? "thresh" : place,
                                   ink.off, ink.strong, ink.off, report::inert_text(error.message));
    if (!error.help.empty())
        text += fmt::format("  help: {}\n", report::inert_text(error.help));
    return text;
}

std::string finding_message(const Prepared& prepared, const Finding& finding, bool color) {
    const Ink& ink = color ? kColored : kPlain;
    const rules::FindingPlace place = rules::place_of(finding, prepared.batch);
    const rules::FindingText words =
        rules::describe(finding, prepared.judgement, prepared.batch, prepared.rules);
    intake::RecordText record;
    if (place.file != kNone && place.line > 0 && place.sheet.empty())
        record = intake::record_text(prepared.found.inputs[place.file],
                                     prepared.batch.readings.files[place.file], place.line, place.position);
    std::string text =
        fmt::format("{}{}:{} {}{}[{}]{}: {}\n", ink.bold, place_text(place, record.column), ink.off,
                    ink.strong, to_text(finding.severity), rules::catalogue()[finding.code].code, ink.off,
                    report::inert_text(words.message));
    if (!record.line.empty())
        text += excerpt(record, ink);
    // An action of one word ("look") is for grouping the to-do list; here there is room to say what to look
    // at.
    const rules::Declaration& declared = rules::catalogue()[finding.code];
    const bool general = words.action == rules::to_text(declared.action);
    const std::string help = general ? std::string(declared.what_to_do) : words.action;
    if (!help.empty())
        text += fmt::format("  help: {}\n", report::inert_text(help));
    return text;
}

std::string finding_messages(const Prepared& prepared, bool (*wanted)(const Finding&), bool color) {
    std::string text;
    std::map<std::uint16_t, std::size_t> told;
    for (const Finding& finding : prepared.judgement.findings) {
        if (!wanted(finding) || ++told[finding.code] > kShownOfEachCode)
            continue;
        text += finding_message(prepared, finding, color);
    }
    for (const auto& [code, count] : told)
        if (count > kShownOfEachCode)
            text += fmt::format("... and {} more {}: `thresh findings` lists them all\n",
                                count - kShownOfEachCode, rules::catalogue()[code].code);
    return text;
}

} // namespace thresh::cli
