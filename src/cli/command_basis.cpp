// Single values on another basis, with their uncertainty.
#include "cli/commands.hpp"
#include "cli/output.hpp"
#include "cli/table_command.hpp"

#include <charconv>
#include <cmath>
#include <fmt/format.h>
#include <thresh/basis/convert.hpp>
#include <thresh/report/write.hpp>

namespace thresh::cli {

namespace {

Result<double> parse_number(const std::string& what, const std::string& text) {
    double value = 0;
    const auto [end, error] =
        std::from_chars(text.data(), text.data() + text.size(), value, std::chars_format::fixed);
    if (error != std::errc{} || end != text.data() + text.size() || !std::isfinite(value))
        return fail(fmt::format("{} `{}` is not a number", what, text),
                    "write it with a point, such as 36.49");
    return value;
}

Result<double> parse_or(const std::string& what, const std::optional<std::string>& text, double otherwise) {
    return text ? parse_number(what, *text) : Result<double>(otherwise);
}

// Moisture that a value refers to on this basis.
Result<double> moisture_at(Basis basis, const char* option, const std::optional<double>& moisture) {
    if (basis.kind == Basis::Kind::fixed)
        return basis.percent;
    if (!moisture)
        return fail(fmt::format("{} as-is needs the moisture of the reading", option),
                    "add --moisture PERCENT");
    return *moisture;
}

Result<std::string> restated(const BasisSettings& settings) {
    const auto from = parse_basis(settings.from), to = parse_basis(settings.to);
    if (!from)
        return tl::unexpected(from.error());
    if (!to)
        return tl::unexpected(to.error());
    std::optional<double> moisture;
    if (settings.moisture) {
        const auto parsed = parse_number("--moisture", *settings.moisture);
        if (!parsed)
            return tl::unexpected(parsed.error());
        if (!basis::valid_moisture(*parsed))
            return fail(fmt::format("--moisture {} is not from 0 to below 100 %", *settings.moisture),
                        "give the moisture of the reading in percent, wet basis");
        moisture = *parsed;
    }
    const auto at = moisture_at(*from, "--from", moisture), wanted = moisture_at(*to, "--to", moisture);
    if (!at)
        return tl::unexpected(at.error());
    if (!wanted)
        return tl::unexpected(wanted.error());
    const auto u = parse_or("--u", settings.u, 0),
               u_moisture = parse_or("--u-moisture", settings.u_moisture, 0),
               r = parse_or("--r", settings.r, 0);
    for (const auto* parsed : {&u, &u_moisture, &r})
        if (!*parsed)
            return tl::unexpected(parsed->error());
    if (*u < 0 || *u_moisture < 0)
        return fail("an uncertainty below zero", "give standard uncertainties, 0 or more");
    if (*r < -1 || *r > 1)
        return fail("--r is no correlation", "give -1 to 1");

    const auto digits = digits_of(settings.digits, 6);
    if (!digits)
        return tl::unexpected(digits.error());
    const bool with_uncertainty = settings.u || settings.u_moisture;
    std::string text =
        with_uncertainty ? "value,from,moisture,to,result,u\n" : "value,from,moisture,to,result\n";
    for (const std::string& given : settings.values) {
        const auto value = parse_number("VALUE", given);
        if (!value)
            return tl::unexpected(value.error());
        text += fmt::format("{},{},{},{},", given, to_text(*from), moisture ? *settings.moisture : "",
                            to_text(*to));
        report::append_number(text, basis::convert(*value, *at, *wanted), *digits);
        if (with_uncertainty) {
            // The reading's moisture is uncertain; a fixed basis is exact by definition, and as-is to as-is
            // needs none.
            const bool from_as_is = from->kind == Basis::Kind::as_is,
                       to_as_is = to->kind == Basis::Kind::as_is;
            const double u_from = from_as_is && !to_as_is ? *u_moisture : 0,
                         u_to = to_as_is && !from_as_is ? *u_moisture : 0;
            text += ',';
            report::append_number(
                text, basis::converted_uncertainty(*value, *at, *wanted, *u, u_from, u_to, *r), *digits);
        }
        text += '\n';
    }
    return text;
}

} // namespace

int command_basis(const BasisSettings& settings) {
    const Settings plain;
    const auto text = restated(settings);
    if (!text)
        return failed(plain, text.error());
    auto output = open_output(std::nullopt);
    (*output)->write(*text);
    const auto finished = (*output)->finish();
    return finished ? kDone : failed(plain, finished.error());
}

} // namespace thresh::cli
