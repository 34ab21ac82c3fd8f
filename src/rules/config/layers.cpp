// `extends` is followed depth first; a file met again is in force already, a file met while it is being
// followed closes a circle. Paths are compared after lexical normalisation only: two links to one file count
// as two files.
#include "rules/config/layers.hpp"

#include "rules/config/builtin_rules.hpp"

#include <algorithm>
#include <cassert>
#include <filesystem>
#include <fmt/format.h>

namespace thresh::rules {

namespace {

using Kind = Node::Kind;

constexpr std::string_view kBuiltIn = "built-in";

std::string beside(const std::string& file, const std::string& named) {
    const std::filesystem::path path(named);
    if (path.is_absolute())
        return path.lexically_normal().string();
    return (std::filesystem::path(file).parent_path() / path).lexically_normal().string();
}

class LayerReader {
  public:
    explicit LayerReader(const ReadFile& read) : read_(read) {}

    void built_in() {
        if (std::find(done_.begin(), done_.end(), kBuiltIn) != done_.end())
            return;
        done_.emplace_back(kBuiltIn);
        Result<Node> root = read_text(builtin_rules_text(), next_layer(std::string(kBuiltIn)));
        assert(root); // our own text; a unit test reads it
        layers.push_back(std::move(*root));
    }

    // `entry`: the value of `extends` that names the file, null for a file of the command line.
    Result<void> file(const std::string& path, const Node* entry) {
        if (std::find(open_.begin(), open_.end(), path) != open_.end())
            return fail_at(*entry,
                           fmt::format("rules files extend each other in a circle: {} -> {}",
                                       fmt::join(open_, " -> "), path),
                           "take one of these entries out of `extends`");
        if (std::find(done_.begin(), done_.end(), path) != done_.end())
            return {};
        const Result<std::string> text = read_(path);
        if (!text && entry)
            return fail_at(
                *entry, fmt::format("cannot read `{}`: {}", path, text.error().message),
                "files are looked for beside the file that names them; correct the name or take the "
                "entry out of `extends`");
        if (!text)
            return tl::unexpected<Error>(text.error());
        // The number follows when the layers it stands on are known.
        const auto layer = std::make_shared<Layer>(Layer{path, 0});
        Result<Node> root = read_text(*text, layer);
        if (!root)
            return tl::unexpected<Error>(root.error());
        open_.push_back(path);
        if (Result<void> followed = follow(*root, path); !followed)
            return followed;
        open_.pop_back();
        done_.push_back(path);
        layer->number = static_cast<std::uint32_t>(layers.size());
        layers.push_back(std::move(*root));
        return {};
    }

    std::vector<Node> layers;

  private:
    std::shared_ptr<const Layer> next_layer(std::string name) const {
        return std::make_shared<const Layer>(
            Layer{std::move(name), static_cast<std::uint32_t>(layers.size())});
    }

    Result<void> follow(const Node& root, const std::string& path) {
        const Node* extends = root.find("extends");
        if (!extends || extends->is(Kind::null)) {
            built_in();
            return {};
        }
        const std::vector<Node> one = {*extends};
        for (const Node& entry : extends->is(Kind::list) ? extends->items : one) {
            if (!entry.is(Kind::text))
                return fail_at(entry, fmt::format("`extends` holds {}", to_text(entry.kind)),
                               "it needs names of rules files, or \"built-in\"");
            if (entry.text == kBuiltIn)
                built_in();
            else if (Result<void> read = file(beside(path, entry.text), &entry); !read)
                return read;
        }
        return {};
    }

    const ReadFile& read_;
    std::vector<std::string> open_, done_;
};

} // namespace

Result<std::vector<Node>> read_layers(const std::vector<std::string>& files, const ReadFile& read) {
    LayerReader reader(read);
    if (files.empty())
        reader.built_in();
    for (const std::string& path : files)
        if (Result<void> done = reader.file(std::filesystem::path(path).lexically_normal().string(), nullptr);
            !done)
            return tl::unexpected<Error>(done.error());
    return std::move(reader.layers);
}

} // namespace thresh::rules
