// See the header. Decoding needs the whole file in memory; plain UTF-8 does not.
#include "intake/source_text.hpp"

#include <algorithm>
#include <cstring>
#include <fmt/format.h>

namespace thresh::intake {

namespace {

constexpr std::size_t kSniffBytes = 8 * 1024;

void repair_note(const Decoded& decoded, const EncodingFound& found, std::vector<IntakeNote>& notes) {
    IntakeNote note;
    note.code = "text-repaired";
    note.line = decoded.first_line;
    note.help = "--encoding, or export as UTF-8";
    if (decoded.encoding == Encoding::windows1252 && !found.given && found.encoding == Encoding::utf8) {
        note.line = 0;
        note.message = "the text is not UTF-8 and was read as Windows-1252";
        if (decoded.mixed > 0)
            note.message += fmt::format(", although {} of its characters would be UTF-8", decoded.mixed);
        note.doubt = decoded.mixed > 0;
        notes.push_back(note);
    }
    if (decoded.repaired == 0)
        return;
    note.line = decoded.first_line;
    note.message = fmt::format(
        "{} not {} and {} repaired; the first gives `{}`",
        decoded.repaired == 1 ? std::string("1 byte is") : fmt::format("{} bytes are", decoded.repaired),
        encoding_name(decoded.encoding), decoded.repaired == 1 ? "was" : "were", decoded.first);
    note.doubt = decoded.mixed > 0 && decoded.encoding == Encoding::utf8;
    if (note.doubt) {
        note.message += fmt::format("; only {} of other letters and signs {} proper UTF-8", decoded.mixed,
                                    decoded.mixed == 1 ? "is" : "are");
        note.help = "--encoding UTF-8 or --encoding Windows-1252";
    }
    notes.push_back(std::move(note));
}

// Text of UTF-16 takes two bytes a character and more, so it is not held beside what it becomes.
Result<Decoded> decode_utf16_of(const ByteSource& source, const EncodingFound& found) {
    constexpr std::size_t kPiece = std::size_t{1} << 18;
    Decoded decoded;
    decoded.encoding = found.encoding; // also where no text follows the mark
    const auto size = static_cast<std::size_t>(source.size());
    decoded.text.reserve(size / 2 + size / 16);
    for (std::size_t at = std::min(found.mark, size); at < size;) {
        auto piece = read_some(source, at, kPiece);
        if (!piece)
            return tl::unexpected(std::move(piece.error()));
        const bool last = at + piece->size() >= size;
        const std::size_t taken = decode_utf16(*piece, found.encoding == Encoding::utf16be, last, decoded);
        at = last ? size : at + taken;
    }
    return decoded;
}

Result<Decoded> decoded_text(const ByteSource& source, const EncodingFound& found) {
    if (found.encoding == Encoding::utf16le || found.encoding == Encoding::utf16be)
        return decode_utf16_of(source, found);
    return read_all(source).map([&](const std::string& bytes) { return decode(bytes, found); });
}

} // namespace

TopKept::TopKept(std::shared_ptr<const ByteSource> bytes, std::size_t top) : bytes_(std::move(bytes)) {
    if (auto read = read_some(*bytes_, 0, top))
        top_ = std::move(*read);
}

Result<std::size_t> TopKept::read_at(std::uint64_t offset, char* into, std::size_t count) const {
    // What the source cannot give, a count beyond its end, is the source's to say.
    if (offset > top_.size() || count > top_.size() - static_cast<std::size_t>(offset))
        return bytes_->read_at(offset, into, count);
    std::memcpy(into, top_.data() + offset, count);
    return count;
}

Result<std::string> read_some(const ByteSource& source, std::uint64_t offset, std::size_t count) {
    const std::uint64_t size = source.size();
    std::string bytes(
        static_cast<std::size_t>(std::min<std::uint64_t>(count, size > offset ? size - offset : 0)), '\0');
    std::size_t have = 0;
    while (have < bytes.size()) {
        auto got = source.read_at(offset + have, bytes.data() + have, bytes.size() - have);
        if (!got)
            return tl::unexpected(std::move(got.error()));
        if (*got == 0)
            return fail("the file became shorter while it was read", "read it again when it is complete");
        have += *got;
    }
    return bytes;
}

Result<std::string> read_all(const ByteSource& source) {
    return read_some(source, 0, static_cast<std::size_t>(source.size()));
}

Result<SourceText> open_text(const Input& input, const std::optional<std::string>& encoding, bool decode_now,
                             std::vector<IntakeNote>& notes) {
    auto head = read_some(*input.bytes, 0, kSniffBytes);
    if (!head)
        return tl::unexpected(std::move(head.error()));
    auto found = detect_encoding(*head, encoding);
    if (!found)
        return tl::unexpected(std::move(found.error()));
    SourceText text;
    text.encoding = *found;
    text.bytes = input.bytes;
    text.start = found->mark;
    std::size_t cut = 0;
    const bool plain =
        found->encoding == Encoding::utf8 &&
        find_invalid_utf8(*head, head->size() == input.bytes->size(), cut) == std::string_view::npos;
    if (plain && !decode_now)
        return text;
    auto read = decoded_text(*input.bytes, *found);
    if (!read)
        return tl::unexpected(std::move(read.error()));
    Decoded& decoded = *read;
    repair_note(decoded, *found, notes);
    if (decoded.encoding != found->encoding)
        text.encoding.why = "not UTF-8";
    else if (decoded.repaired > 0 && !found->given)
        text.encoding.why = fmt::format("all but {} bytes are", decoded.repaired);
    text.encoding.encoding = decoded.encoding;
    text.bytes = std::make_shared<MemorySource>(std::move(decoded.text));
    text.start = 0;
    text.checked = true;
    return text;
}

} // namespace thresh::intake
