#include "cli/inputs.hpp"

#include "cli/file_source.hpp"
#include "cli/own_tables.hpp"

#include <algorithm>
#include <chrono>
#include <filesystem>
#include <fmt/format.h>
#include <map>
#include <set>
#include <string_view>
#include <thresh/core/parallel.hpp>
#include <thresh/core/utf8.hpp>
#include <tuple>

namespace thresh::cli {

namespace fs = std::filesystem;

namespace {

bool is_export_name(const std::string& name) {
    if (name.starts_with(".") || name.starts_with("~$"))
        return false;
    std::string ending = fs::path(name).extension().string();
    std::transform(ending.begin(), ending.end(), ending.begin(),
                   [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c; });
    return ending == ".csv" || ending == ".tsv" || ending == ".txt" || ending == ".xlsx";
}

// `folder` joined with the path below it: the name that all outputs use.
std::string joined(const std::string& folder, const std::string& below) {
    return folder.ends_with('/') ? folder + below : folder + "/" + below;
}

class Search {
  public:
    Search(std::uint32_t settle_seconds, unsigned threads) : settle_(settle_seconds), threads_(threads) {}

    void add_standard_input() {
        if (std::exchange(has_standard_input_, true))
            return;
        auto bytes = read_standard_input();
        if (bytes)
            found_.inputs.push_back({"-", *bytes, {}});
        else
            found_.inputs.push_back({"-", nullptr, bytes.error()});
        found_.paths.emplace_back("-");
        found_.states.emplace_back();
    }

    // Named by the user, and so read or refused: nothing is passed over.
    void add_named(const std::string& source) {
        named_.insert(source);
        add_file(source, source);
    }

    void add_file(const std::string& source, const fs::path& path) {
        std::error_code error;
        const std::string real = fs::canonical(path, error).string();
        if (error) {
            add_failed(source, Error{"cannot be found: " + error.message(), "check the name", source, 0, 0});
            return;
        }
        add_real(source, real);
    }

    void add_folder(const std::string& given) {
        std::error_code error;
        root_ = fs::canonical(given, error);
        if (error) {
            add_failed(given,
                       Error{"cannot be opened: " + error.message(), "check its permissions", given, 0, 0});
            return;
        }
        walk(given, given, root_.string());
    }

    void add_failed(const std::string& source, Error error) {
        found_.inputs.push_back({valid_utf8(source), nullptr, std::move(error)});
        found_.paths.push_back(source);
        const auto state = state_of(source);
        found_.states.push_back(state ? std::optional(*state) : std::nullopt);
    }

    FoundInputs finish() {
        std::vector<const std::pair<const std::string, std::string>*> files;
        for (const auto& file : by_file_)
            files.push_back(&file);
        // The system walks along every path: with thousands of files that is worth a second thread.
        constexpr std::size_t kMany = 200;
        std::vector<One> ones(files.size());
        parallel_for(files.size(), files.size() < kMany ? 1 : threads_,
                     [&](std::size_t i) { ones[i] = look_at(files[i]->first); });
        for (std::size_t i = 0; i < files.size(); ++i) {
            const auto& [real, source] = *files[i];
            One& one = ones[i];
            if (!one.own.empty() && !named_.contains(source)) {
                found_.passed_over.push_back(source);
                continue;
            }
            if (one.fresh) {
                found_.unsettled.push_back(source);
                continue;
            }
            if (!one.own.empty()) {
                one.error = Error{fmt::format("is a table of results (`{}`), not an export", one.own),
                                  "name the exports that it was made from",
                                  {},
                                  0,
                                  0};
            }
            if (one.ahead)
                found_.ahead.push_back(source);
            if (one.bytes == nullptr)
                one.error.file = source;
            found_.inputs.push_back({valid_utf8(source), std::move(one.bytes), std::move(one.error)});
            found_.paths.push_back(real);
            found_.states.push_back(one.state);
        }
        sort();
        return std::move(found_);
    }

  private:
    // What there is to know about a file.
    struct One {
        std::shared_ptr<const intake::ByteSource> bytes;
        Error error; // why there are no bytes
        std::optional<FileState> state;
        bool fresh = false, ahead = false;
        std::string_view own; // table of this program
    };
    One look_at(const std::string& real) const {
        One one;
        const auto age = settle_ > 0 ? age_of(real) : std::nullopt;
        one.fresh = age && *age > -settle_ns() && *age < settle_ns();
        one.ahead = age && *age <= -settle_ns();
        one.own = own_table(real);
        if (one.fresh || !one.own.empty())
            return one;
        if (auto found = find_file(real)) {
            one.bytes = std::move(found->bytes);
            one.state = found->state;
        } else {
            one.error = std::move(found.error());
            if (const auto state = state_of(real))
                one.state = *state;
        }
        return one;
    }

    // `real`: the canonical path. A file that can be reached in two ways is read once, under the bytewise
    // smaller name.
    void add_real(const std::string& source, const std::string& real) {
        auto& name = by_file_[real];
        if (name.empty() || source < name)
            name = source;
    }

    // Everything below `folder`, which is shown as `name` and whose canonical path is `real`. What is no link
    // has its canonical path by that: the system need not be asked.
    void walk(const std::string& name, const fs::path& folder, const std::string& real) {
        if (holds_results(folder.string()))
            return;
        std::error_code error;
        fs::directory_iterator entries(folder, error);
        if (error) {
            add_failed(name,
                       Error{"cannot be opened: " + error.message(), "check its permissions", name, 0, 0});
            return;
        }
        for (const fs::directory_entry& entry : entries) {
            const std::string below = entry.path().filename().string();
            const std::string shown = joined(name, below);
            const bool link = entry.is_symlink(error);
            if (link && leaves(entry.path())) {
                const bool matters = is_export_name(below) || entry.is_directory(error);
                (matters ? found_.links : found_.passed_over).push_back(shown);
            } else if (entry.is_directory(error)) {
                if (!below.starts_with("."))
                    walk(shown, entry.path(),
                         link ? fs::canonical(entry.path(), error).string() : joined(real, below));
            } else if (entry.is_regular_file(error) && is_export_name(below)) {
                if (link)
                    add_file(shown, entry.path());
                else
                    add_real(shown, joined(real, below));
            } else {
                found_.passed_over.push_back(shown);
            }
        }
    }

    // A link out of the folder, nowhere, or to a folder above itself (which would never end).
    bool leaves(const fs::path& link) const {
        std::error_code error;
        const fs::path target = fs::canonical(link, error);
        if (error)
            return true;
        const fs::path inside = target.lexically_relative(root_);
        if (inside.empty() || *inside.begin() == "..")
            return true;
        const fs::path back = fs::canonical(link.parent_path(), error).lexically_relative(target);
        return !back.empty() && *back.begin() != "..";
    }

    std::int64_t settle_ns() const { return std::int64_t{settle_} * 1'000'000'000; }

    // Since the last change, by this machine's clock: another one's may be ahead.
    static std::optional<std::int64_t> age_of(const std::string& path) {
        const auto state = state_of(path);
        if (!state)
            return std::nullopt;
        const auto now = std::chrono::system_clock::now().time_since_epoch();
        return std::chrono::duration_cast<std::chrono::nanoseconds>(now).count() - state->changed_ns;
    }

    void sort() {
        std::vector<std::size_t> order(found_.inputs.size());
        for (std::size_t i = 0; i < order.size(); ++i)
            order[i] = i;
        // Two names that are no UTF-8 may be written alike.
        std::sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
            return std::tie(found_.inputs[a].source, found_.paths[a]) <
                   std::tie(found_.inputs[b].source, found_.paths[b]);
        });
        FoundInputs sorted;
        for (const std::size_t i : order) {
            sorted.inputs.push_back(std::move(found_.inputs[i]));
            sorted.paths.push_back(std::move(found_.paths[i]));
            sorted.states.push_back(found_.states[i]);
        }
        sorted.passed_over = std::move(found_.passed_over);
        sorted.links = std::move(found_.links);
        sorted.unsettled = std::move(found_.unsettled);
        sorted.ahead = std::move(found_.ahead);
        std::sort(sorted.passed_over.begin(), sorted.passed_over.end());
        std::sort(sorted.links.begin(), sorted.links.end());
        std::sort(sorted.unsettled.begin(), sorted.unsettled.end());
        std::sort(sorted.ahead.begin(), sorted.ahead.end());
        found_ = std::move(sorted);
    }

    std::uint32_t settle_;
    unsigned threads_;
    bool has_standard_input_ = false;
    fs::path root_;
    std::map<std::string, std::string> by_file_; // canonical path to source
    std::set<std::string> named_;                // sources
    FoundInputs found_;
};

} // namespace

bool holds_results(const std::string& folder) {
    std::error_code error;
    const fs::path record = fs::path(folder) / "run.json";
    if (!fs::is_regular_file(record, error))
        return false;
    const auto text = read_text(record.string());
    return text && text->substr(0, 200).find("\"thresh\"") != std::string::npos;
}

FoundInputs find_inputs(const std::vector<std::string>& exports, std::uint32_t settle_seconds,
                        unsigned threads) {
    Search search(settle_seconds, threads);
    for (const std::string& given : exports) {
        std::error_code error;
        if (given == "-")
            search.add_standard_input();
        else if (fs::is_directory(given, error))
            search.add_folder(given);
        else
            search.add_named(given);
    }
    return search.finish();
}

} // namespace thresh::cli
