// Open Packaging Conventions (ECMA-376 part 2): the relationships of `xl/workbook.xml` stand in
// `xl/_rels/workbook.xml.rels`. Writers differ in absolute and relative targets; both are resolved here. A
// target only ever names a part of the archive, never a file.
#include "intake/xlsx/package.hpp"

#include "intake/xlsx/errors.hpp"
#include "intake/xlsx/xml.hpp"

#include <charconv>

namespace thresh::intake::xlsx {

namespace {

class RelationshipsHandler : public XmlHandler {
  public:
    RelationshipsHandler(std::string_view part, std::size_t limit) : part_(part), limit_(limit) {}

    void start(std::string_view name, const Attributes& attributes) override {
        if (name != "Relationship" || attributes.find("TargetMode") == "External")
            return;
        if (found.size() >= limit_)
            return stop(too_large(part_, "too many relationships"));
        const std::string_view type = attributes.find("Type").value_or("");
        found.push_back({std::string(attributes.find("Id").value_or("")),
                         std::string(type.substr(type.rfind('/') + 1)),
                         resolve_target(part_, attributes.find("Target").value_or(""))});
    }

    std::vector<Relationship> found;

  private:
    std::string_view part_;
    std::size_t limit_;
};

std::string_view folder_of(std::string_view part) {
    const std::size_t slash = part.rfind('/');
    return slash == std::string_view::npos ? std::string_view() : part.substr(0, slash + 1);
}

std::string undo_percent(std::string_view text) {
    std::string plain;
    for (std::size_t at = 0; at < text.size(); ++at) {
        unsigned code = 0;
        if (text[at] == '%' && at + 2 < text.size() &&
            std::from_chars(text.data() + at + 1, text.data() + at + 3, code, 16).ptr ==
                text.data() + at + 3) {
            plain.push_back(static_cast<char>(code));
            at += 2;
        } else {
            plain.push_back(text[at]);
        }
    }
    return plain;
}

Error name_archive(const Archive& archive) {
    const std::string help = "save the table as .xlsx or as text (.csv)";
    if (archive.has("xl/workbook.bin"))
        return not_a_book("the file is a binary workbook (.xlsb), not an .xlsx workbook", help);
    if (archive.has("mimetype") && archive.has("content.xml"))
        return not_a_book("the file is an OpenDocument file (such as .ods), not an .xlsx workbook", help);
    if (archive.has("word/document.xml"))
        return not_a_book("the file is a text document (.docx), not an .xlsx workbook", help);
    if (archive.has("ppt/presentation.xml"))
        return not_a_book("the file is a presentation (.pptx), not an .xlsx workbook", help);
    return not_a_book("the file is a zip archive, but not an .xlsx workbook",
                      "unpack it and give the exports inside, or save the table as .xlsx");
}

} // namespace

std::string resolve_target(std::string_view part, std::string_view target) {
    std::string path =
        target.starts_with('/') || target.starts_with('\\') ? "" : std::string(folder_of(part));
    path += undo_percent(target);
    std::vector<std::string_view> steps;
    const std::string_view whole = path;
    for (std::size_t at = 0; at <= whole.size();) {
        const std::size_t end = std::min(whole.find_first_of("/\\", at), whole.size());
        const std::string_view step = whole.substr(at, end - at);
        at = end + 1;
        if (step.empty() || step == ".")
            continue;
        if (step != "..") {
            steps.push_back(step);
        } else if (steps.empty()) {
            return {};
        } else {
            steps.pop_back();
        }
    }
    std::string resolved;
    for (const std::string_view step : steps) {
        if (!resolved.empty())
            resolved.push_back('/');
        resolved += step;
    }
    return resolved;
}

Result<std::vector<Relationship>> read_relationships(const Archive& archive, std::string_view part) {
    const std::string_view folder = folder_of(part);
    const std::string list =
        std::string(folder) + "_rels/" + std::string(part.substr(folder.size())) + ".rels";
    if (!archive.has(list))
        return std::vector<Relationship>{};
    RelationshipsHandler handler(part, archive.limits().parts);
    if (auto read = parse_part(archive, list, handler); !read)
        return tl::unexpected(read.error());
    return std::move(handler.found);
}

Result<std::string> find_workbook_part(const Archive& archive) {
    auto relationships = read_relationships(archive, "");
    if (!relationships)
        return tl::unexpected(relationships.error());
    for (const Relationship& one : *relationships) {
        const bool book = one.type == "officeDocument" && archive.has(one.target);
        const std::string key = part_key(one.target);
        if (book && !key.ends_with(".bin") && !key.starts_with("word/") && !key.starts_with("ppt/"))
            return one.target;
    }
    if (archive.has("xl/workbook.xml"))
        return std::string("xl/workbook.xml");
    return tl::unexpected(name_archive(archive));
}

} // namespace thresh::intake::xlsx
