// minizip over a buffer in memory. Sizes that the archive states are not believed: the bytes that come out
// are counted. Names with `..` cannot be addressed, and a name that occurs twice refuses the archive, because
// two programs could then read two different books from it.
#include "intake/xlsx/archive.hpp"

#include "intake/xlsx/errors.hpp"
#include "intake/xlsx/memory_file.hpp"

#include <array>
#include <fmt/format.h>
#include <memory>
#include <minizip/unzip.h>

namespace thresh::intake::xlsx {

namespace {

struct CloseZip {
    void operator()(void* zip) const { unzClose(zip); }
};

// An open archive together with the cursor that its callbacks read through.
struct OpenZip {
    std::unique_ptr<MemoryFile> file;
    std::unique_ptr<void, CloseZip> handle;
};

OpenZip open_zip(std::string_view bytes) {
    OpenZip zip{std::make_unique<MemoryFile>(MemoryFile{bytes, 0}), nullptr};
    zlib_filefunc64_def functions = memory_functions(*zip.file);
    zip.handle.reset(unzOpen2_64("", &functions));
    return zip;
}

// Compound files hold stream names as UTF-16LE; the bytes are searched for one of them.
bool holds_stream(std::string_view bytes, std::string_view name) {
    std::string wide;
    for (const char c : name) {
        wide.push_back(c);
        wide.push_back('\0');
    }
    return bytes.find(wide) != std::string_view::npos;
}

Error refuse_compound(std::string_view bytes) {
    if (holds_stream(bytes, "EncryptedPackage"))
        return not_a_book("the workbook is protected by a password",
                          "open it in a spreadsheet program and save it without a password");
    if (holds_stream(bytes, "Workbook") || holds_stream(bytes, "Book"))
        return not_a_book("the file is a workbook of the older .xls kind",
                          "open it in a spreadsheet program and save it as .xlsx");
    return not_a_book("the file is an older office document or a protected file, not an .xlsx workbook",
                      "open it in the program that made it and save the table as .xlsx or as text (.csv)");
}

Error refuse_other(std::string_view bytes) {
    if (bytes.empty())
        return not_a_book("the file is empty, not an .xlsx workbook", "export it again");
    const std::string_view start = bytes.substr(0, 4096);
    if (start.find('\0') == std::string_view::npos)
        return not_a_book("the file holds text, although its name says that it is a workbook",
                          "rename it to .csv if it holds a table as text, otherwise save it as .xlsx");
    return not_a_book("the file is not an .xlsx workbook", "save the table as .xlsx or as text (.csv)");
}

Error cut_short() {
    return not_a_book("the workbook's archive is cut short or damaged",
                      "copy or export the file again; it may not have been written to its end");
}

bool climbs(std::string_view key) {
    return key == ".." || key.starts_with("../") || key.ends_with("/..") ||
           key.find("/../") != std::string_view::npos;
}

} // namespace

std::string part_key(std::string_view name) {
    std::string key;
    key.reserve(name.size());
    for (char c : name) {
        if (c == '\\')
            c = '/';
        if (c >= 'A' && c <= 'Z')
            c = static_cast<char>(c + ('a' - 'A'));
        if (c == '/' && key.empty())
            continue;
        key.push_back(c);
    }
    return key;
}

Result<Archive> Archive::open(std::string_view bytes, const Limits& limits) {
    constexpr std::string_view compound_file = "\xD0\xCF\x11\xE0";
    if (bytes.starts_with(compound_file))
        return tl::unexpected(refuse_compound(bytes));
    if (!bytes.starts_with("PK"))
        return tl::unexpected(refuse_other(bytes));
    const OpenZip zip = open_zip(bytes);
    if (!zip.handle)
        return tl::unexpected(cut_short());
    Archive archive;
    archive.bytes_ = bytes;
    archive.limits_ = limits;
    std::size_t count = 0;
    for (int rc = unzGoToFirstFile(zip.handle.get()); rc == UNZ_OK; rc = unzGoToNextFile(zip.handle.get())) {
        if (++count > limits.parts)
            return tl::unexpected(too_large("archive", fmt::format("more than {} parts", limits.parts)));
        std::array<char, 1024> name{};
        unz_file_info64 info{};
        unz64_file_pos place{};
        if (unzGetCurrentFileInfo64(zip.handle.get(), &info, name.data(), name.size() - 1, nullptr, 0,
                                    nullptr, 0) != UNZ_OK ||
            unzGetFilePos64(zip.handle.get(), &place) != UNZ_OK)
            return tl::unexpected(damaged("archive", "its directory cannot be read"));
        const std::string key = part_key(name.data());
        if (info.size_filename >= name.size() || climbs(key))
            continue;
        const Entry entry{place.pos_in_zip_directory, place.num_of_file, info.compressed_size,
                          (info.flag & 1U) != 0};
        if (!archive.entries_.emplace(key, entry).second)
            return tl::unexpected(damaged(key, "the archive holds this part twice"));
    }
    // The directory stands at the end of an archive, and behind it how many parts it lists.
    unz_global_info64 listed{};
    if (unzGetGlobalInfo64(zip.handle.get(), &listed) != UNZ_OK || listed.number_entry != count ||
        (count == 0 && bytes.starts_with("PK\x03\x04")))
        return tl::unexpected(cut_short());
    return archive;
}

bool Archive::has(std::string_view part) const {
    return entries_.contains(part_key(part));
}

Result<void> Archive::stream(std::string_view part, const ChunkSink& sink) const {
    const auto found = entries_.find(part_key(part));
    if (found == entries_.end())
        return tl::unexpected(damaged(part, "the part is absent"));
    const Entry& entry = found->second;
    if (entry.encrypted)
        return tl::unexpected(
            not_a_book("the workbook's archive is protected by a password", "save it without a password"));
    const OpenZip zip = open_zip(bytes_);
    unz64_file_pos place{entry.directory_offset, entry.number};
    if (!zip.handle || unzGoToFilePos64(zip.handle.get(), &place) != UNZ_OK ||
        unzOpenCurrentFile(zip.handle.get()) != UNZ_OK)
        return tl::unexpected(damaged(part, "the part cannot be opened"));

    constexpr std::size_t piece = 64 * 1024;
    const auto buffer = std::make_unique_for_overwrite<char[]>(piece);
    std::uint64_t total = 0;
    for (;;) {
        const int got = unzReadCurrentFile(zip.handle.get(), buffer.get(), static_cast<unsigned>(piece));
        if (got < 0)
            return tl::unexpected(damaged(part, "its packed bytes cannot be inflated"));
        if (got == 0)
            break;
        total += static_cast<std::uint64_t>(got);
        if (total > limits_.part_bytes)
            return tl::unexpected(
                too_large(part, fmt::format("it inflates to more than {} bytes", limits_.part_bytes)));
        if (total > limits_.ratio_from && total / limits_.ratio > entry.packed_bytes)
            return tl::unexpected(too_large(
                part, fmt::format("it inflates to more than {} times its packed size", limits_.ratio)));
        if (!sink({buffer.get(), static_cast<std::size_t>(got)}))
            return {};
    }
    if (unzCloseCurrentFile(zip.handle.get()) == UNZ_CRCERROR)
        return tl::unexpected(damaged(part, "its checksum is wrong"));
    return {};
}

} // namespace thresh::intake::xlsx
