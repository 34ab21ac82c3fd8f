#include "cli/import_options.hpp"

#include <fmt/format.h>

namespace thresh::cli {

namespace {

Result<char> parse_delimiter(const std::string& text) {
    if (text == "," || text == ";" || text == "|" || text == "\t")
        return text[0];
    if (text == "tab" || text == "\\t")
        return '\t';
    return fail(fmt::format("--delimiter `{}` is not known", text), "use one of , ; | tab");
}

Result<char> parse_decimal(const std::string& text) {
    if (text == "," || text == ".")
        return text[0];
    return fail(fmt::format("--decimal `{}` is not known", text), "use . or ,");
}

Result<intake::DateFormat> parse_date_format(const std::string& text) {
    if (text == "iso")
        return intake::DateFormat::iso;
    if (text == "dmy")
        return intake::DateFormat::dmy;
    if (text == "mdy")
        return intake::DateFormat::mdy;
    if (text == "ymd")
        return intake::DateFormat::ymd;
    if (text == "serial1900")
        return intake::DateFormat::serial1900;
    if (text == "serial1904")
        return intake::DateFormat::serial1904;
    return fail(fmt::format("--date-format `{}` is not known", text),
                "use iso, dmy, mdy, ymd, serial1900 or serial1904");
}

Result<std::string> parse_encoding(const std::string& text) {
    for (const char* name : {"UTF-8", "UTF-16LE", "UTF-16BE", "Windows-1252"})
        if (std::equal(text.begin(), text.end(), name, name + std::string_view(name).size(),
                       [](char a, char b) {
                           return (a >= 'a' && a <= 'z' ? a - 'a' + 'A' : a) ==
                                  (b >= 'a' && b <= 'z' ? b - 'a' + 'A' : b);
                       }))
            return std::string(name);
    return fail(fmt::format("--encoding `{}` is not known", text),
                "use UTF-8, UTF-16LE, UTF-16BE or Windows-1252");
}

// Fills an optional from an optional text.
template <typename Parse, typename T>
Result<void> take(const std::optional<std::string>& text, const Parse& parse, std::optional<T>& into) {
    if (!text)
        return {};
    const auto value = parse(*text);
    if (!value)
        return tl::unexpected(value.error());
    into = *value;
    return {};
}

} // namespace

Result<intake::ExportOptions> import_options(const Settings& settings, const rules::Ruleset& rules,
                                             unsigned threads) {
    intake::ExportOptions options;
    options.columns = rules.columns;
    options.ignore = rules.ignored_headings;
    options.header_row = settings.header_row;
    options.sheet = settings.sheet;
    options.threads = threads;
    for (const Result<void>& taken : {take(settings.delimiter, parse_delimiter, options.delimiter),
                                      take(settings.decimal, parse_decimal, options.decimal),
                                      take(settings.encoding, parse_encoding, options.encoding),
                                      take(settings.date_format, parse_date_format, options.date_format),
                                      take(settings.assume_basis, parse_basis, options.assume_basis)})
        if (!taken)
            return tl::unexpected(taken.error());
    return options;
}

} // namespace thresh::cli
