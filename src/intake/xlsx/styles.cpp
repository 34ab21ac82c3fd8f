// A cell's style is an entry of cellXfs, which names a number format by its number. cellStyleXfs and the
// conditional formats (dxfs) have entries of the same name, so that the enclosing tag matters.
#include "intake/xlsx/styles.hpp"

#include "intake/xlsx/errors.hpp"
#include "intake/xlsx/xml.hpp"

#include <charconv>
#include <unordered_map>

namespace thresh::intake::xlsx {

namespace {

std::uint32_t to_number(std::optional<std::string_view> text) {
    std::uint32_t value = 0;
    if (text)
        std::from_chars(text->data(), text->data() + text->size(), value);
    return value;
}

class StylesHandler : public XmlHandler {
  public:
    StylesHandler(std::string_view part, const Limits& limits) : part_(part), limits_(limits) {}

    void start(std::string_view name, const Attributes& attributes) override {
        if (name == "cellXfs")
            in_cell_formats_ = true;
        if (name == "numFmts")
            in_codes_ = true;
        if (name == "numFmt" && in_codes_ && custom_.size() < limits_.styles) {
            const auto code = attributes.find("formatCode");
            if (code)
                custom_[to_number(attributes.find("numFmtId"))] = read_format_code(*code);
        }
        if (name == "xf" && in_cell_formats_) {
            if (ids_.size() >= limits_.styles)
                stop(too_large(part_, "too many cell styles"));
            ids_.push_back(to_number(attributes.find("numFmtId")));
        }
    }

    void end(std::string_view name) override {
        if (name == "cellXfs")
            in_cell_formats_ = false;
        if (name == "numFmts")
            in_codes_ = false;
    }

    std::vector<NumberFormat> formats() const {
        std::vector<NumberFormat> formats;
        formats.reserve(ids_.size());
        for (const std::uint32_t id : ids_) {
            const auto own = custom_.find(id);
            formats.push_back(own != custom_.end() ? own->second : builtin_format(id));
        }
        return formats;
    }

  private:
    std::string_view part_;
    const Limits& limits_;
    bool in_cell_formats_ = false;
    bool in_codes_ = false;
    std::unordered_map<std::uint32_t, NumberFormat> custom_; // looked up, never walked
    std::vector<std::uint32_t> ids_;
};

} // namespace

Result<std::vector<NumberFormat>> read_styles(const Archive& archive, std::string_view part) {
    StylesHandler handler(part, archive.limits());
    if (auto read = parse_part(archive, part, handler); !read)
        return tl::unexpected(read.error());
    return handler.formats();
}

} // namespace thresh::intake::xlsx
