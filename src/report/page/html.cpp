// Most text is plain and is copied; the rest goes through inert_text first.
#include "report/page/html.hpp"

#include <thresh/report/inert_text.hpp>

#include <algorithm>

namespace thresh::report {

namespace {

bool plain(char c) {
    return c >= ' ' && c <= '~';
}

// Noncharacters at the end of the basic plane are no XML; inert_text leaves them.
std::string without_noncharacters(std::string text) {
    for (const char* wrong : {"\xEF\xBF\xBE", "\xEF\xBF\xBF"})
        for (std::size_t at = 0; (at = text.find(wrong, at)) != std::string::npos; at += 3)
            text.replace(at, 3, "\xEF\xBF\xBD");
    return text;
}

void append_escaped(std::string& into, std::string_view text) {
    for (const char c : text)
        switch (c) {
        case '&':
            into += "&amp;";
            break;
        case '<':
            into += "&lt;";
            break;
        case '>':
            into += "&gt;";
            break;
        case '"':
            into += "&quot;";
            break;
        case '\'':
            into += "&#39;";
            break;
        default:
            into += c;
        }
}

void append_text(std::string& into, std::string_view text) {
    if (std::all_of(text.begin(), text.end(), plain))
        append_escaped(into, text);
    else
        append_escaped(into, without_noncharacters(inert_text(text)));
}

} // namespace

std::string escaped(std::string_view text) {
    std::string made;
    append_text(made, text);
    return made;
}

void Html::begin(Literal tag, Attributes attributes) {
    into_ += '<';
    into_ += tag.text();
    for (const Attribute& attribute : attributes) {
        into_ += ' ';
        into_ += attribute.name.text();
        into_ += "=\"";
        append_text(into_, attribute.value);
        into_ += '"';
    }
}

Html::Element Html::open(Literal tag, Attributes attributes) {
    begin(tag, attributes);
    into_ += '>';
    return {*this, tag};
}

void Html::close(Literal tag) {
    into_ += "</";
    into_ += tag.text();
    into_ += '>';
    // Lines of the source stay short enough to be looked at.
    for (const std::string_view block :
         {"tr",  "p",      "li",     "section", "figure", "table", "thead",   "tbody",
          "h2",  "h3",     "ul",     "ol",      "dl",     "div",   "details", "dd",
          "nav", "header", "footer", "main",    "title",  "style", "script",  "caption"})
        if (tag.text() == block) {
            into_ += '\n';
            return;
        }
}

void Html::element(Literal tag, Attributes attributes, std::string_view content) {
    begin(tag, attributes);
    into_ += '>';
    append_text(into_, content);
    close(tag);
}

void Html::empty(Literal tag, Attributes attributes) {
    begin(tag, attributes);
    into_ += "/>";
}

void Html::text(std::string_view content) {
    append_text(into_, content);
}

void Html::lines(std::string_view content) {
    for (std::size_t at = 0; at <= content.size();) {
        const std::size_t end = std::min(content.find('\n', at), content.size());
        append_text(into_, content.substr(at, end - at));
        if (end < content.size())
            into_ += '\n';
        at = end + 1;
    }
}

void Html::sentence(std::string_view content) {
    while (true) {
        const std::size_t open = content.find('`');
        const std::size_t close = open == content.npos ? content.npos : content.find('`', open + 1);
        if (close == content.npos)
            break;
        append_text(into_, content.substr(0, open + 1));
        const std::string_view quoted = content.substr(open + 1, close - open - 1);
        const bool ascii = std::all_of(quoted.begin(), quoted.end(),
                                       [](char c) { return static_cast<unsigned char>(c) < 128; });
        ascii ? append_text(into_, quoted) : name(quoted);
        into_ += '`';
        content.remove_prefix(close + 1);
    }
    append_text(into_, content);
}

void Html::name(std::string_view content) {
    into_ += "<bdi>";
    append_text(into_, content);
    into_ += "</bdi>";
}

} // namespace thresh::report
