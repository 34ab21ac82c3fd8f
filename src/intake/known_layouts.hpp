// Layouts of headings that were met before. Many exports of a season have one heading: what it says is found
// once, and of the others is only shown that finding it anew would end the same way.
#pragma once

#include "intake/detect_layout.hpp"
#include "intake/table_plan.hpp"

#include <memory>
#include <string>
#include <string_view>
#include <vector>

namespace thresh::intake {

struct KnownLayout {
    std::string heading;           // the first line with its line end
    Layout layout;                 // its only head row is the heading
    TablePlan plan;                // of the heading
    std::vector<IntakeNote> notes; // what planning had to say
};

// For texts that are read with one dictionary and the same options. Used by one thread.
class KnownLayouts {
  public:
    // `text`, `whole`: as for detect_layout(). Null when the layout must be sought.
    std::shared_ptr<const KnownLayout> find(std::string_view text, bool whole) const;
    // Keeps what detect_layout() found in this text, where other texts with its heading can be told by it;
    // otherwise returns null.
    std::shared_ptr<const KnownLayout> remember(std::string_view text, bool whole, const Layout& layout,
                                                const HeadingDictionary& dictionary,
                                                const ExportOptions& options);

  private:
    std::vector<std::shared_ptr<const KnownLayout>> known_;
};

// Whether a text is a heading line and rows that leave detect_layout() no choice: commas alone can part its
// cells, every row below the first line holds a number, and not most of them end in a comma. Texts that share
// their first line have one layout then.
bool leaves_no_choice(std::string_view text, bool whole);

} // namespace thresh::intake
