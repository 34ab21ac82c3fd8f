// The shared strings part is read once, in order. A text is collected from every <t> of an entry that is not
// inside a phonetic hint (<rPh>).
#include "intake/xlsx/shared_strings.hpp"

#include "intake/xlsx/errors.hpp"
#include "intake/xlsx/xml.hpp"

#include <charconv>
#include <fmt/format.h>

namespace thresh::intake::xlsx {

namespace {

void append_utf8(std::string& text, unsigned code) {
    if (code < 0x80) {
        text.push_back(static_cast<char>(code));
    } else if (code < 0x800) {
        text.push_back(static_cast<char>(0xC0 | (code >> 6)));
        text.push_back(static_cast<char>(0x80 | (code & 0x3F)));
    } else {
        text.push_back(static_cast<char>(0xE0 | (code >> 12)));
        text.push_back(static_cast<char>(0x80 | ((code >> 6) & 0x3F)));
        text.push_back(static_cast<char>(0x80 | (code & 0x3F)));
    }
}

// The character of an escape at the front of `text` (`_x000D_`), 0 when there is none.
unsigned escaped_character(std::string_view text) {
    constexpr std::size_t length = 7;
    if (text.size() < length || !text.starts_with("_x") || text[length - 1] != '_')
        return 0;
    unsigned code = 0;
    const char* const first = text.data() + 2;
    const auto [stop, problem] = std::from_chars(first, first + 4, code, 16);
    if (problem != std::errc() || stop != first + 4)
        return 0;
    return code >= 0xD800 && code <= 0xDFFF ? 0 : code;
}

class StringsHandler : public XmlHandler {
  public:
    StringsHandler(std::string_view part, const Limits& limits) : part_(part), limits_(limits) {}

    void start(std::string_view name, const Attributes&) override {
        if (name == "si")
            in_entry_ = true;
        if (name == "rPh")
            in_hint_ = true;
        if (name == "t")
            in_text_ = in_entry_ && !in_hint_;
    }

    void text(std::string_view piece) override {
        if (!in_text_)
            return;
        entry_ += piece;
        if (entry_.size() > limits_.cell_text_bytes)
            stop(too_large(part_, "a text of more than a million bytes"));
    }

    void end(std::string_view name) override {
        if (name == "t")
            in_text_ = false;
        if (name == "rPh")
            in_hint_ = false;
        if (name != "si")
            return;
        undo_escapes(entry_);
        strings.append(entry_);
        strings.finish();
        entry_.clear();
        in_entry_ = in_hint_ = false;
        if (strings.text_bytes() + 4 * strings.size() > limits_.shared_text_bytes)
            stop(too_large(part_, fmt::format("more than {} bytes of text", limits_.shared_text_bytes)));
    }

    SharedStrings strings;

  private:
    std::string_view part_;
    const Limits& limits_;
    std::string entry_;
    bool in_entry_ = false;
    bool in_hint_ = false;
    bool in_text_ = false;
};

} // namespace

void SharedStrings::finish() {
    ends_.push_back(static_cast<std::uint32_t>(text_.size()));
}

void undo_escapes(std::string& text, std::size_t from) {
    std::size_t at = text.find("_x", from);
    if (at == std::string::npos)
        return;
    std::string plain = text.substr(0, at);
    while (at < text.size()) {
        const unsigned code = escaped_character(std::string_view(text).substr(at));
        if (code != 0) {
            append_utf8(plain, code);
            at += 7;
        } else {
            plain.push_back(text[at++]);
        }
    }
    text = std::move(plain);
}

Result<SharedStrings> read_shared_strings(const Archive& archive, std::string_view part) {
    StringsHandler handler(part, archive.limits());
    if (auto read = parse_part(archive, part, handler); !read)
        return tl::unexpected(read.error());
    handler.strings.trim();
    return std::move(handler.strings);
}

} // namespace thresh::intake::xlsx
