// A workbook that is being written: the library's handle, its formats, and the first thing that went wrong.
#pragma once

#include <thresh/core/result.hpp>
#include <thresh/summary/table.hpp>

#include <cstdint>
#include <map>
#include <string>
#include <vector>
#include <xlsxwriter.h>

namespace thresh::report {

enum class Look : std::uint8_t {
    heading,        // bold on grey, broken, a line below
    number_heading, // the same on the right, over numbers
    upright,        // the same, turned, for narrow columns of numbers
    text,           // broken, at the top
    integer,        // right
    number,         // with decimals and mark
    day,            // times to the day, minute and second
    minute,
    second,
    provisional, // text in place of a number
    title,       // of a section
    strong,      // the words that an explanation is about
    code         // of equal widths, for rules
};

class Book {
  public:
    Book(const std::string& path, const std::string& scratch, bool huge);
    ~Book(); // closes what finish() did not
    Book(const Book&) = delete;
    Book& operator=(const Book&) = delete;

    lxw_workbook* handle() const { return book_; }
    lxw_worksheet* add_sheet(const std::string& title);
    // `decimals` and `shown` count for numbers only.
    lxw_format* format(Look look, unsigned decimals = 0, summary::Shown shown = summary::Shown::plain);
    // Remembers the first error.
    void check(lxw_error error);
    bool good() const { return error_ == LXW_NO_ERROR; }
    // Writes the file. What was written to each sheet so far is looked at before: a full disk cuts temporary
    // files without a word of the library.
    Result<void> finish();
    Error failure() const;

    // The sign beside a number: none, down, up, question, cross, tilde. Legible without colour.
    static const char* sign(summary::Shown shown);

  private:
    std::string path_;
    std::string scratch_;
    lxw_workbook* book_ = nullptr;
    std::vector<lxw_worksheet*> sheets_;
    std::map<std::uint32_t, lxw_format*> formats_;
    lxw_error error_ = LXW_NO_ERROR;
};

} // namespace thresh::report
