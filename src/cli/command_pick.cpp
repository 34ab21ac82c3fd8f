// Which samples to send to wet chemistry; the shipment and its key.
#include "cli/import_options.hpp"
#include "cli/lists.hpp"
#include "cli/output.hpp"
#include "cli/table_command.hpp"

#include <charconv>
#include <filesystem>
#include <fmt/format.h>
#include <thresh/core/nearest.hpp>
#include <thresh/report/write.hpp>
#include <thresh/summary/picks.hpp>

namespace thresh::cli {

namespace {

Result<double> percent(const std::string& text) {
    double value = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), value);
    if (error != std::errc{} || end != text.data() + text.size() || !(value >= 0 && value <= 100))
        return fail(fmt::format("--random `{}` is no share", text), "use percent from 0 to 100");
    return value;
}

Result<summary::PickOptions> pick_options(const Settings& settings, const summary::Season& season,
                                          const summary::SampleMeans& means) {
    summary::PickOptions options;
    options.count = settings.count;
    options.seed = settings.seed;
    if (settings.random_percent) {
        const auto share = percent(*settings.random_percent);
        if (!share)
            return tl::unexpected(share.error());
        options.random_percent = *share;
    }
    std::vector<std::string> names;
    for (const ConstituentId id : means.constituents())
        names.push_back(season.rules.constituents[id].name);
    for (const std::string& name : settings.on) {
        if (std::find(names.begin(), names.end(), name) == names.end())
            return fail(fmt::format("--on: these exports have no constituent `{}`", name),
                        nearest_hint(name, names, "constituents here"));
        options.on.push_back(*season.rules.constituents.find(name));
    }
    if (settings.reference) {
        Settings only_reference = settings;
        only_reference.key.reset(); // the key is written here, not opened
        const auto import = import_options(settings, season.rules, season.threads);
        if (!import)
            return tl::unexpected(import.error());
        const auto reference =
            read_reference(only_reference, *import, season.rules.constituents, season.rules.list_headings);
        if (!reference)
            return tl::unexpected(reference.error());
        for (const batch::ReferenceResult& result : reference->results)
            options.analysed.insert(result.sample);
    }
    return options;
}

// A key that is lost opens no shipment any more: another one's is never replaced.
Result<void> write_key(const std::string& path, const summary::Table& key) {
    std::string text;
    report::write_table(key, {}, [&](std::string_view bytes) {
        text += bytes;
        return true;
    });
    std::error_code error;
    if (std::filesystem::is_regular_file(path, error)) {
        const auto there = read_text(path);
        if (!there || *there != text)
            return fail("--key: there is a file of that name, which may hold the key of another shipment",
                        "choose another name, or move it away", path);
    }
    auto output = open_output(path);
    if (!output)
        return tl::unexpected(output.error());
    (*output)->write(text);
    return (*output)->finish();
}

std::optional<Error> conflict(const Settings& settings) {
    if (settings.shipment && (!settings.key || *settings.key == "-"))
        return Error{
            "a shipment without its key cannot be opened again", "write it with --key FILE", {}, 0, 0};
    if (!settings.shipment && (settings.key || settings.batch_check || settings.code_prefix ||
                               settings.batch || settings.duplicates))
        return Error{"--key, --batch, --duplicates, --batch-check and --code-prefix are about a shipment",
                     "add --shipment",
                     {},
                     0,
                     0};
    std::error_code error;
    if (settings.shipment && settings.output &&
        std::filesystem::weakly_canonical(*settings.output, error) ==
            std::filesystem::weakly_canonical(*settings.key, error))
        return Error{"-o and --key name one file, and the key is not for the laboratory",
                     "choose another file with --key", *settings.key, 0, 0};
    return std::nullopt;
}

} // namespace

int command_pick(const Settings& settings) {
    if (const auto error = conflict(settings))
        return failed(settings, *error);
    if (const auto writable = check_output(settings.key); !writable) // only a shipment has one
        return failed(settings, writable.error());
    std::string notes;
    return table_command(
        settings,
        [&](const summary::Season& season) -> Result<std::unique_ptr<summary::Table>> {
            const auto means = summary::sample_means(season);
            const auto options = pick_options(settings, season, *means);
            if (!options)
                return tl::unexpected(options.error());
            const auto picks = summary::pick_samples(*means, *options);
            if (!picks)
                return tl::unexpected(picks.error());
            for (const std::string& note : picks->notes)
                notes += note + "\n";
            notes += fmt::format("seed {}\n", settings.seed);
            if (!settings.shipment)
                return summary::picks_table(*means, *picks);
            summary::ShipmentOptions how;
            how.batch = settings.batch.value_or(how.batch);
            how.duplicates = settings.duplicates.value_or(how.duplicates);
            how.check = settings.batch_check.value_or("");
            how.prefix = settings.code_prefix.value_or("W");
            how.seed = settings.seed;
            const auto packets = summary::make_shipment(season, *picks, how);
            if (!packets)
                return tl::unexpected(packets.error());
            if (const auto written = write_key(*settings.key, *summary::shipment_key_table(*packets));
                !written)
                return tl::unexpected(written.error());
            notes += fmt::format("key: {}, not for the laboratory\n", *settings.key);
            return summary::shipment_table(*packets);
        },
        &notes);
}

} // namespace thresh::cli
