// The sections of the page, one file each, and what they share.
#pragma once

#include "report/page/html.hpp"

#include <thresh/report/page.hpp>

#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace thresh::report {

using summary::SeasonPage;
using summary::Shown;
namespace page = summary::page;

// What every section is given. `limit`: bytes of the page that must not be passed by rows and figures.
struct PageContext {
    Html& html;
    const SeasonPage& season;
    const PageFacts& facts;
    std::size_t limit = 0;
    std::size_t figures = 0; // drawn so far, for their ids

    bool room(std::size_t more = 0) const { return html.size() + more < limit; }
    std::string next_id() { return "fig-" + std::to_string(++figures); }
    // `lines.csv` when it stands beside the page, else the command that writes it: "`thresh lines`".
    std::string rest(std::string_view file, std::string_view command) const;
};

void write_answers(PageContext& context);
void write_trust(PageContext& context);
void write_todo(PageContext& context);
void write_lines(PageContext& context);
void write_changes(PageContext& context);
void write_protein_oil(PageContext& context);
void write_moisture(PageContext& context);
void write_distributions(PageContext& context);
void write_charts(PageContext& context);
void write_agreement(PageContext& context);
void write_method(PageContext& context);
void write_cautions(PageContext& context);

// `12 readings`, `1 reading`.
std::string counted(std::size_t count, std::string_view one, std::string_view many);
// With a capital letter, as sentences and headings begin.
std::string capital(std::string_view text);
// `2026-10-05 17:11`; empty when missing.
std::string time_text(Time time);
// A number with so many decimals.
std::string decimal(double value, unsigned decimals);
// "% at 13 % moisture", "% of dry matter", "% of oil", "nm".
std::string unit_text(const page::Quantity& quantity);
// "soybean-whole, trial SB26-ELITE".
std::string group_name(std::string_view material, std::string_view trial);
// At most `most` bytes, cut between characters, with an ellipsis.
std::string shortened(std::string_view text, std::size_t most);
plot::Quantity plotted(const page::Quantity& quantity);

// Opens <section> with its heading; `id` is what the answers and the contents lead to.
Html::Element open_section(Html& html, Literal id, Literal heading);

// A state in a word, with a sign and a colour.
void write_state(Html& html, page::State state);
// A number with its mark: never by colour alone, and in words for those who do not see it.
void write_number(Html& html, double value, unsigned decimals, Shown shown);
// What the marks of a table mean.
void write_legend(Html& html);

struct Column {
    std::string title;
    bool number = false;
    std::string unit = {}; // below the title
};
// A table with caption, in a box that scrolls by itself when it is wider than the page.
class TableWriter {
  public:
    struct Options {
        bool sortable = true;
        std::string_view kind = "data"; // class
        bool caption_hidden = false;
    };
    TableWriter(Html& html, std::string_view caption, const std::vector<Column>& columns,
                const Options& options);
    TableWriter(Html& html, std::string_view caption, const std::vector<Column>& columns)
        : TableWriter(html, caption, columns, Options{}) {}
    Html::Element row(std::string_view kind = {});
    // A row over all columns: what has been left out here, or a heading within the table.
    void across(std::string_view text, std::string_view kind = "gap");

    // Cells of the row that is open. The first column of a row is its heading.
    void heading(std::string_view text);
    void text(std::string_view text); // a name; short ones are not broken
    void sentence(std::string_view text);
    void number(double value, unsigned decimals, Shown shown = Shown::plain);
    void number(std::optional<double> value, unsigned decimals);
    void count(std::size_t value);
    void state(page::State state);

  private:
    Html& html_;
    std::size_t columns_;
    Html::Element region_, table_;
    std::optional<Html::Element> body_;
};

// A figure with its caption, note and numbers; a sentence where there is nothing to draw or no room.
void write_figure(PageContext& context, const plot::Frame& frame, const std::optional<plot::Figure>& figure,
                  std::string_view note = {});

// <style> and <script> of the page.
Literal page_style();
Literal page_script();

} // namespace thresh::report
