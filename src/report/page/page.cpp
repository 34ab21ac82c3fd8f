// The page from head to foot. Style and script stand in the page and are named by their SHA-256 in the
// content security policy, so that nothing else can run, whatever stands in the exports. Each section may
// fill the page up to its share of the room; the sections at the end are small and always find theirs.
#include "report/page/parts.hpp"

#include <cassert>
#include <fmt/format.h>
#include <openssl/evp.h>

namespace thresh::report {

namespace {

// `sha256-...` as a policy names it.
std::string source_hash(std::string_view source) {
    unsigned char digest[EVP_MAX_MD_SIZE];
    unsigned length = 0;
    const int done = EVP_Digest(source.data(), source.size(), digest, &length, EVP_sha256(), nullptr);
    assert(done == 1); // SHA-256 is part of every OpenSSL
    static_cast<void>(done);
    unsigned char text[2 * EVP_MAX_MD_SIZE];
    const int size = EVP_EncodeBlock(text, digest, static_cast<int>(length));
    return "sha256-" + std::string(reinterpret_cast<const char*>(text), static_cast<std::size_t>(size));
}

std::string title_of(const SeasonPage& season) {
    if (season.first.missing())
        return "Seed composition";
    const std::string first = to_text(season.first).substr(0, 10), last = to_text(season.last).substr(0, 10);
    return first == last ? fmt::format("Seed composition, {}", first)
                         : fmt::format("Seed composition, {} to {}", first, last);
}

void write_head(Html& html, const std::string& title) {
    Html style_text;
    style_text.source(page_style());
    style_text.plot_styles();
    const auto head = html.open("head");
    html.empty("meta", {{"charset", "utf-8"}});
    html.line();
    html.empty("meta", {{"http-equiv", "Content-Security-Policy"},
                        {"content",
                         fmt::format("default-src 'none'; style-src '{}'; script-src '{}'; base-uri 'none'; "
                                     "form-action 'none'",
                                     source_hash(style_text.bytes()), source_hash(page_script().text()))}});
    html.line();
    html.empty("meta", {{"name", "viewport"}, {"content", "width=device-width, initial-scale=1"}});
    html.line();
    html.empty("meta", {{"name", "color-scheme"}, {"content", "light dark"}});
    html.line();
    html.element("title", title);
    const auto style = html.open("style");
    html.source(page_style());
    html.plot_styles();
}

struct Section {
    Literal id, heading;
    void (*write)(PageContext&);
    std::size_t limit; // bytes of the page after it
};
constexpr Section kSections[] = {
    {"trust", "Can it be trusted?", write_trust, 250'000},
    {"todo", "What to do next", write_todo, 900'000},
    {"lines", "Lines", write_lines, 1'250'000},
    {"changes", "What changed a mean", write_changes, 1'310'000},
    {"protein-oil", "Protein against oil", write_protein_oil, 1'450'000},
    {"moisture", "Moisture of all readings", write_moisture, 1'480'000},
    {"distributions", "Constituents", write_distributions, 1'620'000},
    {"charts", "Standard, controls and sessions", write_charts, 1'760'000},
    {"agreement", "Agreement with wet chemistry", write_agreement, 1'830'000},
    {"method", "How it was computed", write_method, 1'980'000},
    {"cautions", "Cautions", write_cautions, kMostPageBytes},
};

bool present(const Section& section, const SeasonPage& season) {
    return section.write != write_agreement || season.has_reference;
}

void write_header(Html& html, const SeasonPage& season, const std::string& title) {
    const auto header = html.open("header");
    html.element("h1", title);
    const auto& total = season.overview.accounting.total;
    html.element("p", fmt::format("{} of {}; {}. Times as the instruments wrote them.",
                                  counted(total.rows, "row", "rows"),
                                  counted(season.overview.accounting.files.size(), "export", "exports"),
                                  counted(season.overview.lines, "line", "lines")));
    const auto nav = html.open("nav", {{"aria-label", "Sections"}});
    const auto list = html.open("ol");
    for (const Section& section : kSections)
        if (present(section, season)) {
            const auto item = html.open("li");
            html.element("a", {{"href", "#" + std::string(section.id.text())}}, section.heading.text());
        }
}

} // namespace

std::string page_html(const SeasonPage& season, const PageFacts& facts) {
    Html html;
    html.source("<!DOCTYPE html>\n");
    {
        const auto root = html.open("html", {{"lang", "en"}});
        const std::string title = title_of(season);
        write_head(html, title);
        const auto body = html.open("body");
        html.element("a", {{"class", "skip"}, {"href", "#main"}}, "Skip to the answers");
        write_header(html, season, title);
        {
            const auto main = html.open("main", {{"id", "main"}, {"tabindex", "-1"}});
            PageContext context{html, season, facts};
            write_answers(context);
            for (const Section& section : kSections) {
                context.limit = section.limit;
                if (present(section, season))
                    section.write(context);
            }
        }
        {
            const auto footer = html.open("footer");
            html.element("p",
                         fmt::format("Made by thresh {} from the exports alone: the same exports, lists and "
                                     "rules give the same page.",
                                     facts.version));
        }
        const auto script = html.open("script");
        html.source(page_script());
    }
    html.line();
    return html.bytes();
}

} // namespace thresh::report
