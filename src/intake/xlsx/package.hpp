// How the parts of a workbook point at each other.
#pragma once

#include "intake/xlsx/archive.hpp"

#include <string>
#include <string_view>
#include <vector>

namespace thresh::intake::xlsx {

struct Relationship {
    std::string id;
    std::string type; // last word of the type's address: worksheet, styles, sharedStrings, ...
    std::string
        target; // name of a part, from the root of the archive; empty when it climbs out of the archive
};

// The relationships of a part ("" = of the whole archive), in the order of the file; none when it has no
// list. Those that point outside the archive are left out.
Result<std::vector<Relationship>> read_relationships(const Archive& archive, std::string_view part);

// `target` as written in a relationship of `part` to the name of a part: absolute (`/xl/styles.xml`) or
// relative to the part's folder (`../styles.xml`). Empty when it climbs above the root.
std::string resolve_target(std::string_view part, std::string_view target);

// Name of the part that lists the sheets. Error that says what the archive is when it is no workbook.
Result<std::string> find_workbook_part(const Archive& archive);

} // namespace thresh::intake::xlsx
