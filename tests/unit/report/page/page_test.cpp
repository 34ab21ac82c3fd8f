#include "unit/report/page/invented_page.hpp"

#include <array>
#include <cmath>
#include <fmt/format.h>
#include <openssl/evp.h>
#include <regex>
#include <set>

using namespace thresh;
using namespace thresh::summary;
using namespace thresh::test;

namespace {

std::size_t count(const std::string& text, const std::string& what) {
    std::size_t n = 0;
    for (std::size_t at = text.find(what); at != std::string::npos; at = text.find(what, at + 1))
        ++n;
    return n;
}

std::string between(const std::string& text, const std::string& from, const std::string& to) {
    const std::size_t first = text.find(from) + from.size();
    return text.substr(first, text.find(to, first) - first);
}

std::string hash_of(const std::string& text) {
    std::array<unsigned char, EVP_MAX_MD_SIZE> digest{};
    unsigned length = 0;
    REQUIRE(EVP_Digest(text.data(), text.size(), digest.data(), &length, EVP_sha256(), nullptr) == 1);
    std::array<unsigned char, 2 * EVP_MAX_MD_SIZE> base64{};
    EVP_EncodeBlock(base64.data(), digest.data(), static_cast<int>(length));
    return reinterpret_cast<const char*>(base64.data());
}

} // namespace

TEST_CASE("the page is well-formed whatever stands in the exports") {
    for (const std::string& name :
         {std::string("L-017"), kHostile, std::string(), std::string("\x01\x02\x7f\x1b[2J\r\n\t"),
          std::string("\xff\xfe\xc3("), std::string("\xEF\xBF\xBE\xEF\xBF\xBF"), std::string(300, 'x'),
          std::string("\u05d0\u05d1\u05d2 \u202eabc"), std::string("\U0001F33E\u200d\U0001F33E")}) {
        CAPTURE(name);
        const auto elements = elements_of(html_of(season_of(name)));
        CHECK(elements.size() > 300);
    }
}

TEST_CASE("a name from an export can neither run nor add an element") {
    const std::string html = html_of(season_of(kHostile));
    CHECK(count(html, "<img") == 0);
    CHECK(count(html, "<script") == 1);
    CHECK(count(html, "</script") == 1);
    CHECK(count(html, "&lt;img src=x") > 20);
    const auto elements = elements_of(html), harmless = elements_of(html_of(season_of("L")));
    std::set<std::string> tags, known;
    for (const Seen& seen : elements) {
        tags.insert(seen.tag);
        for (const auto& [name, value] : seen.attributes) {
            CHECK(!name.starts_with("on"));
            CHECK(name != "style");
        }
    }
    for (const Seen& seen : harmless)
        known.insert(seen.tag);
    CHECK(std::includes(known.begin(), known.end(), tags.begin(), tags.end()));
}

TEST_CASE("direction marks and control characters of a name do not reach the page") {
    const std::string html = html_of(season_of("a\u202eb\x01"));
    CHECK(html.find("\u202e") == std::string::npos);
    CHECK(html.find('\x01') == std::string::npos);
    CHECK(html.find("<bdi>ab\uFFFD</bdi>") != std::string::npos);
}

TEST_CASE("the policy names the hashes of style and script and lets nothing else in") {
    const std::string html = html_of(season_of("L"));
    const std::string policy = between(html, "Content-Security-Policy\" content=\"", "\"");
    CHECK(policy == fmt::format("default-src &#39;none&#39;; style-src &#39;sha256-{}&#39;; script-src "
                                "&#39;sha256-{}&#39;; base-uri &#39;none&#39;; form-action &#39;none&#39;",
                                hash_of(between(html, "<style>", "</style>")),
                                hash_of(between(html, "<script>", "</script>"))));
    CHECK(html.find("Content-Security-Policy") < html.find("<style>"));
    for (const char* outside : {"https://", " src=\"", "@import", "<link", "<iframe", "<object"}) {
        CAPTURE(outside);
        CHECK(count(html, outside) == 0);
    }
    CHECK(count(html, "url(") == count(html, "url(#")); // patterns within the page
    CHECK(count(html, "http://") == count(html, "xmlns=\"http://www.w3.org/2000/svg\""));
}

TEST_CASE("the sections stand in the order in which a person asks") {
    std::vector<std::string> ids;
    for (const Seen& seen : elements_of(html_of(season_of("L"))))
        if (seen.tag == "section")
            ids.push_back(seen.attributes.at("id"));
    CHECK(ids == std::vector<std::string>{"answers", "trust", "todo", "lines", "changes", "protein-oil",
                                          "moisture", "distributions", "charts", "agreement", "method",
                                          "cautions"});
}

TEST_CASE("without reference results there is no section about agreement") {
    SeasonPage season = season_of("L");
    season.has_reference = false;
    CHECK(html_of(season).find("id=\"agreement\"") == std::string::npos);
}

TEST_CASE("every figure has a title, a description and its numbers as a table") {
    const std::string html = html_of(season_of("L"));
    const auto elements = elements_of(html);
    std::size_t figures = 0;
    for (std::size_t i = 0; i < elements.size(); ++i) {
        if (elements[i].tag != "figure")
            continue;
        ++figures;
        std::multiset<std::string> inner;
        for (std::size_t j = i + 1; j < elements.size() && elements[j].parent >= i; ++j) {
            if (elements[j].tag == "svg")
                CHECK(elements[j].attributes.at("role") == "img");
            if (elements[elements[j].parent].tag == "svg" || elements[j].tag == "table")
                inner.insert(elements[j].tag);
        }
        CHECK(inner.count("title") == 1);
        CHECK(inner.count("desc") == 1);
        CHECK(inner.count("table") == 1);
    }
    CHECK(figures == 9);
    CHECK(count(html, "class=\"plot") >= figures);
}

TEST_CASE(
    "headings follow each other without a gap, ids are unique, links lead somewhere and fields have names") {
    const auto elements = elements_of(html_of(season_of("L")));
    std::set<std::string> ids;
    std::vector<std::string> links;
    int level = 0, h1 = 0;
    for (std::size_t i = 0; i < elements.size(); ++i) {
        const Seen& seen = elements[i];
        if (const auto id = seen.attributes.find("id"); id != seen.attributes.end())
            CHECK(ids.insert(id->second).second);
        if (const auto to = seen.attributes.find("href"); to != seen.attributes.end())
            links.push_back(to->second.substr(1));
        if (seen.tag.size() == 2 && seen.tag[0] == 'h' && seen.tag[1] >= '1' && seen.tag[1] <= '6') {
            const int now = seen.tag[1] - '0';
            CHECK(now <= level + 1);
            h1 += now == 1 ? 1 : 0;
            level = now;
        }
        if (seen.tag == "input" || (seen.tag == "div" && seen.attributes.contains("tabindex")))
            CHECK(!seen.attributes.at("aria-label").empty());
        if (seen.tag == "th")
            CHECK(seen.attributes.contains("scope"));
        if (seen.tag == "section" || seen.tag == "figure")
            CHECK(inside(elements, i, "main"));
    }
    CHECK(h1 == 1);
    for (const std::string& link : links)
        CHECK(ids.contains(link));
    CHECK(links.size() > 15);
}

TEST_CASE("a low and a high value carry a sign and words, not a colour alone") {
    SeasonPage season = season_of("L");
    season.groups[0].lines[0].cells[0].shown = Shown::low;
    const std::string html = html_of(season);
    CHECK(html.find(
              "<span class=\"low\">38.00<span aria-hidden=\"true\">\u25bc</span><span class=\"words\"> below "
              "the expected range</span></span>") != std::string::npos);
    CHECK(html.find("\u25b2</span><span class=\"words\"> above the expected range") != std::string::npos);
    CHECK(html.find("~</span><span class=\"words\"> provisional") != std::string::npos);
}

TEST_CASE("with a model of the trial stand its adjusted means, its ranks and what they rest on") {
    SeasonPage season = season_of("L");
    CHECK(html_of(season).find("adjusted") == std::string::npos);
    page::LineGroup& group = season.groups[0];
    group.ranked_by = 0;
    group.fit = page::TrialFit{"environment + line", {"no comparison with check <b>"}, 0.05, 0.8164, 0.75};
    for (page::Line& line : group.lines)
        line.adjusted = {40.13, 0.25};
    group.lines.back().adjusted = {kNothing, kNothing};
    const std::string html = html_of(season);
    CHECK(elements_of(html).size() > 300);
    CHECK(html.find(fmt::format("{}, adjusted", group.columns[0].title)) != std::string::npos);
    CHECK(html.find(
              fmt::format("(BLUP) of a model of the trial, {} = environment + line. Least significant "
                          "difference of two adjusted means at 5 %: 0.816 {}. Heritability (Cullis) 0.75. "
                          "Note: no comparison with check &lt;b&gt;.",
                          group.columns[0].name, group.columns[0].unit)) != std::string::npos);
    CHECK(count(html, "40.13 <span class=\"unit\">\u00b1 0.250</span>") == group.lines.size() - 1);
    CHECK(count(html, "Not drawn: 1 line with a mean and no usable plot in the model.") == 1);
}

TEST_CASE("why lines are ranked by means though models were asked for stands with them") {
    SeasonPage season = season_of("L");
    season.groups[0].no_fit = {"not analysed: one plot a line", "1 remnant left out"};
    CHECK(count(html_of(season), "Ranked by means, not by a model of the trial: not analysed: one plot a "
                                 "line; 1 remnant left out.") == 1);
}

TEST_CASE(
    "of more than a hundred lines stand the ends, the checks and flagged ones, and the rest is counted") {
    SeasonPage season = season_of("L", 400);
    season.groups[0].lines[200].check = true;
    season.groups[0].lines[250].flagged = 1;
    const std::string html = html_of(season),
                      table = between(html, "Means \u00b1 standard errors", "</table>");
    const auto shown = [&](int i) {
        return table.find(fmt::format("<bdi>L{}</bdi>", i)) != std::string::npos;
    };
    for (const int i : {0, 1, 49, 200, 250, 350, 399}) {
        CAPTURE(i);
        CHECK(shown(i));
    }
    for (const int i : {50, 199, 201, 249, 251, 349}) {
        CAPTURE(i);
        CHECK(!shown(i));
    }
    CHECK(table.find("150 lines not shown: lines.csv") != std::string::npos);
}

TEST_CASE("the page keeps within two megabytes and says where the rest is") {
    const std::string long_name(300, 'n');
    SeasonPage season = season_of(long_name, 5000);
    const auto many = [](auto& of, std::size_t n) {
        const auto first = of.front();
        of.assign(n, first);
    };
    many(season.tasks[0].packets, 5000);
    many(season.tasks[0].others, 5000);
    many(season.missing, 5000);
    many(season.sessions, 5000);
    many(season.changes, 5000);
    many(season.overview.assumptions, 5000);
    many(season.overview.accounting.files, 5000);
    many(season.distributions, 5000);
    many(season.charts, 500);
    many(season.estimates, 500);
    many(season.groups, 50);
    many(season.agreement, 500);
    many(season.rules, 200);
    season.charts[0].points.assign(50'000, season.charts[0].points[0]);
    const std::string html = html_of(season);
    CHECK(html.size() <= report::kMostPageBytes);
    CHECK(html.size() > 500'000);
    elements_of(html);
    CHECK(html.find("items have no room here: todo.csv") != std::string::npos);
    CHECK(html.find("</html>") != std::string::npos);
    CHECK(html.find("id=\"cautions\"") != std::string::npos);
}

TEST_CASE("a season without anything says so in every section") {
    SeasonPage season;
    season.answers = {{"Can I trust the latest readings?", "There is no reading of seed in these exports.",
                       page::State::unknown, "trust"}};
    const std::string html = html_of(season);
    elements_of(html);
    for (const char* words :
         {"There is no session", "Nothing: every column", "Nothing: no finding is open", "There is no line",
          "No line has both protein and oil", "No reading of seed has a moisture", "There is no usable value",
          "nothing says whether the instrument is steady", "no test for aflatoxin"}) {
        CAPTURE(words);
        CHECK(html.find(words) != std::string::npos);
    }
}

TEST_CASE("a packet to dry shows the grams at which to stop, its bar code and a box to tick") {
    SeasonPage season = season_of("EH-114");
    season.tasks[0].packets[0].mass_g = 139;
    season.tasks[0].packets[0].stop_at_g = 134.6;
    const std::string table = between(html_of(season), "<section id=\"todo\"", "</section>");
    CHECK(table.find("<strong>135 g</strong> of 139 g") != std::string::npos);
    CHECK(count(table, "<svg") == 1);
    CHECK(count(table, "type=\"checkbox\"") == 2);
    CHECK(table.find("aria-label=\"done: EH-114\"") != std::string::npos);
    CHECK(table.find("<tr class=\"box\">") != std::string::npos);
}

TEST_CASE("an ID that is to be corrected has no bar code that would be scanned wrong again") {
    SeasonPage season = season_of("TR26-O20");
    season.tasks[0].packets[0].reason = "sample-unlisted";
    const std::string table = between(html_of(season), "<section id=\"todo\"", "</section>");
    CHECK(table.find("no bar code: the ID is in doubt") != std::string::npos);
    CHECK(count(table, "<svg") == 0);
    season.tasks[0].packets[0].reason = "id-reused"; // the ID itself is right
    CHECK(count(between(html_of(season), "<section id=\"todo\"", "</section>"), "<svg") == 1);
}

TEST_CASE("an ID that no bar code can hold is said to have none") {
    const std::string html = html_of(season_of("Erdnu\u00df 7"));
    CHECK(html.find("no bar code: not ASCII") != std::string::npos);
    CHECK(html_of(season_of(std::string(60, 'x'))).find("ID too long for a bar code") != std::string::npos);
}

TEST_CASE("the same season gives the same bytes, and no clock stands in them") {
    CHECK(html_of(season_of("L")) == html_of(season_of("L")));
}
