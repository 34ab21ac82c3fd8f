// The library in constant memory keeps each sheet's rows in a temporary file; writes to it are not checked
// there, so that finish() does. The date of creation is fixed, that of 1980 which zip entries have too.
#include "report/workbook/book.hpp"

#include <fmt/format.h>

namespace thresh::report {

namespace {

using summary::Shown;

constexpr lxw_color_t kLow = 0x1F5FBF, kHigh = 0xC55A11, kGrey = 0x595959, kHeading = 0xE7E6E6;
constexpr time_t kCreated = 315532800; // 1980-01-01T00:00:00Z

// Marks stand behind the number; plain numbers leave a mark's width free, so that decimal points align.
std::string number_code(unsigned decimals, Shown shown) {
    const std::string digits = decimals == 0 ? "0" : "0." + std::string(decimals, '0');
    return shown == Shown::plain ? digits + "_W" : fmt::format("{}\"{}\"", digits, Book::sign(shown));
}

} // namespace

const char* Book::sign(Shown shown) {
    switch (shown) {
    case Shown::low:
        return "\u25BC";
    case Shown::high:
        return "\u25B2";
    case Shown::review:
        return "?";
    case Shown::excluded:
    case Shown::left_out:
        return "\u00D7";
    case Shown::provisional:
        return "~";
    case Shown::plain:
        break;
    }
    return "";
}

Book::Book(const std::string& path, const std::string& scratch, bool huge) : path_(path), scratch_(scratch) {
    lxw_workbook_options options{};
    options.constant_memory = LXW_TRUE;
    options.tmpdir = scratch_.data();
    options.use_zip64 = huge ? LXW_TRUE : LXW_FALSE;
    book_ = workbook_new_opt(path_.c_str(), &options);
    if (book_ == nullptr)
        check(LXW_ERROR_MEMORY_MALLOC_FAILED);
}

Book::~Book() {
    if (book_ != nullptr)
        lxw_workbook_free(book_);
}

void Book::check(lxw_error error) {
    if (error_ == LXW_NO_ERROR)
        error_ = error;
}

lxw_worksheet* Book::add_sheet(const std::string& title) {
    lxw_worksheet* sheet = book_ == nullptr ? nullptr : workbook_add_worksheet(book_, title.c_str());
    if (sheet == nullptr) {
        check(LXW_ERROR_CREATING_TMPFILE);
        return nullptr;
    }
    if (sheet->optimize_tmpfile == nullptr) {
        check(LXW_ERROR_CREATING_TMPFILE);
        return nullptr;
    }
    sheets_.push_back(sheet);
    return sheet;
}

lxw_format* Book::format(Look look, unsigned decimals, Shown shown) {
    const std::uint32_t key =
        static_cast<std::uint32_t>(look) << 16U | decimals << 8U | static_cast<std::uint32_t>(shown);
    const auto known = formats_.find(key);
    if (known != formats_.end())
        return known->second;
    lxw_format* made = book_ == nullptr ? nullptr : workbook_add_format(book_);
    if (made == nullptr) {
        check(LXW_ERROR_MEMORY_MALLOC_FAILED);
        return nullptr;
    }
    formats_[key] = made;
    format_set_align(made, LXW_ALIGN_VERTICAL_TOP);
    switch (look) {
    case Look::upright:
    case Look::number_heading:
    case Look::heading:
        format_set_bold(made);
        format_set_bg_color(made, kHeading);
        format_set_bottom(made, LXW_BORDER_THIN);
        format_set_align(made, LXW_ALIGN_VERTICAL_BOTTOM);
        if (look == Look::heading) {
            format_set_text_wrap(made);
            format_set_indent(made, 1);
        } else {
            format_set_align(made, LXW_ALIGN_RIGHT);
        }
        if (look == Look::upright)
            format_set_rotation(made, 90);
        break;
    case Look::text:
        format_set_text_wrap(made);
        format_set_indent(made, 1); // apart from a number to the left
        break;
    case Look::integer:
        format_set_num_format(made, "0_W");
        break;
    case Look::number:
        format_set_num_format(made, number_code(decimals, shown).c_str());
        if (shown == Shown::low || shown == Shown::high) {
            format_set_bold(made);
            format_set_font_color(made, shown == Shown::low ? kLow : kHigh);
        } else if (shown == Shown::review) {
            format_set_bold(made);
        } else if (shown != Shown::plain) {
            format_set_italic(made);
            format_set_font_color(made, kGrey);
        }
        break;
    case Look::day:
        format_set_num_format(made, "yyyy-mm-dd");
        format_set_align(made, LXW_ALIGN_LEFT);
        break;
    case Look::minute:
        format_set_num_format(made, "yyyy-mm-dd hh:mm");
        format_set_align(made, LXW_ALIGN_LEFT);
        break;
    case Look::second:
        format_set_num_format(made, "yyyy-mm-dd hh:mm:ss");
        format_set_align(made, LXW_ALIGN_LEFT);
        break;
    case Look::provisional:
        format_set_italic(made);
        format_set_font_color(made, kGrey);
        format_set_align(made, LXW_ALIGN_RIGHT);
        break;
    case Look::title:
        format_set_bold(made);
        format_set_font_size(made, 14);
        break;
    case Look::strong:
        format_set_bold(made);
        format_set_text_wrap(made);
        break;
    case Look::code:
        format_set_font_name(made, "Consolas");
        format_set_font_size(made, 9);
        break;
    }
    return made;
}

Error Book::failure() const {
    const bool disk = error_ == LXW_ERROR_CREATING_TMPFILE || error_ == LXW_ERROR_CREATING_XLSX_FILE ||
                      error_ == LXW_ERROR_ZIP_FILE_OPERATION || error_ == LXW_ERROR_ZIP_FILE_ADD ||
                      error_ == LXW_ERROR_ZIP_CLOSE;
    // The library's own words for these only say which step it was at.
    return {fmt::format("cannot be written: {}",
                        disk ? "the disk is full, or the folder may not be written" : lxw_strerror(error_)),
            disk ? "free some space, check the folder's permissions, or leave the workbook out with --only"
                 : "leave the workbook out with --only, and report it: this is a fault of the program",
            path_};
}

Result<void> Book::finish() {
    for (lxw_worksheet* sheet : sheets_)
        if (std::fflush(sheet->optimize_tmpfile) != 0 || std::ferror(sheet->optimize_tmpfile) != 0)
            check(LXW_ERROR_CREATING_TMPFILE);
    if (!good())
        return tl::unexpected(failure());
    lxw_doc_properties properties{};
    std::string title = "Seed composition by breeding line", author = "thresh",
                comments = "For breeding and selection; not an official analysis";
    properties.title = title.data();
    properties.author = author.data();
    properties.comments = comments.data();
    properties.created = kCreated;
    check(workbook_set_properties(book_, &properties));
    check(workbook_close(std::exchange(book_, nullptr))); // frees it, whatever happens
    if (!good())
        return tl::unexpected(failure());
    return {};
}

} // namespace thresh::report
