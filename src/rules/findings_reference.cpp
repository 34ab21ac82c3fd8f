// docs/findings.md, made from the declarations, so that page and `explain` cannot say different things.
#include <thresh/rules/catalogue.hpp>

#include <fmt/format.h>

namespace thresh::rules {

std::string findings_reference() {
    std::string text =
        "# Findings\n\n"
        "Made from the program's catalogue; `thresh explain CODE` says the same. The severity "
        "is the built-in one: "
        "a rules file's `severity` map, an entry's own `severity`, and `--severity "
        "CODE=LEVEL` change it. A finding "
        "that is a fault of the measurement lets a later clean reading of the sample take the "
        "faulty one's place. In `todo`, what is "
        "to be looked at, read again or analysed is an item from severity review on; a note is "
        "none.\n\n"
        "| code | severity | about | what was found |\n| --- | --- | --- | --- |\n";
    for (const Declaration& d : catalogue())
        text += fmt::format("| [{0}](#{0}) | {1} | {2} | {3} |\n", d.code, to_text(d.severity),
                            to_text(d.about), d.title);
    for (const Declaration& d : catalogue())
        text += fmt::format(
            "\n## {}\n\n{}{}. {}\n\n- why: {}\n- what to do: {}\n- in `todo`: {}\n- limit: {}\n", d.code,
            static_cast<char>(d.title.front() - (d.title.front() >= 'a' ? 'a' - 'A' : 0)), d.title.substr(1),
            fmt::format("Severity {}, about a {}{}.", to_text(d.severity), to_text(d.about),
                        d.fault ? ", a fault of the measurement" : ""),
            d.why, d.what_to_do, to_text(d.action), d.limit);
    return text;
}

} // namespace thresh::rules
