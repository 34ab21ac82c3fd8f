// Reads a figure as any XML reader does: a text that is not well-formed fails the test.
#pragma once

#include "plot/text.hpp"

#include <catch2/catch.hpp>
#include <cstdlib>
#include <expat.h>
#include <map>
#include <set>
#include <string>
#include <vector>

namespace svg {

struct Element {
    std::string name;
    std::map<std::string, std::string> attributes;
    std::string text;   // its own, not its children's
    std::string parent; // name of the element around it
    std::string at(const std::string& attribute) const {
        const auto found = attributes.find(attribute);
        return found == attributes.end() ? "" : found->second;
    }
};

struct Document {
    std::vector<Element> elements; // in order of their beginnings
    std::vector<std::size_t> open;

    std::size_t count(const std::string& name) const {
        std::size_t n = 0;
        for (const Element& element : elements)
            n += element.name == name;
        return n;
    }
    // Texts of all elements of a name.
    std::vector<std::string> texts(const std::string& name) const {
        std::vector<std::string> all;
        for (const Element& element : elements)
            if (element.name == name)
                all.push_back(element.text);
        return all;
    }
    bool has_text(const std::string& name, const std::string& wanted) const {
        for (const std::string& text : texts(name))
            if (text == wanted)
                return true;
        return false;
    }
    // The elements with this word in their class.
    std::vector<Element> of_class(const std::string& word) const {
        std::vector<Element> found;
        for (const Element& element : elements)
            if ((" " + element.at("class") + " ").find(" " + word + " ") != std::string::npos)
                found.push_back(element);
        return found;
    }
};

inline Document read(const std::string& text) {
    Document document;
    XML_Parser parser = XML_ParserCreate("UTF-8");
    XML_SetUserData(parser, &document);
    XML_SetElementHandler(
        parser,
        [](void* user, const XML_Char* name, const XML_Char** attributes) {
            auto& into = *static_cast<Document*>(user);
            Element element;
            element.name = name;
            if (!into.open.empty())
                element.parent = into.elements[into.open.back()].name;
            for (; *attributes != nullptr; attributes += 2)
                element.attributes[attributes[0]] = attributes[1];
            into.open.push_back(into.elements.size());
            into.elements.push_back(std::move(element));
        },
        [](void* user, const XML_Char*) { static_cast<Document*>(user)->open.pop_back(); });
    XML_SetCharacterDataHandler(parser, [](void* user, const XML_Char* data, int length) {
        auto& into = *static_cast<Document*>(user);
        into.elements[into.open.back()].text.append(data, static_cast<std::size_t>(length));
    });
    const bool well_formed =
        XML_Parse(parser, text.data(), static_cast<int>(text.size()), XML_TRUE) == XML_STATUS_OK;
    const std::string error = well_formed ? "" : XML_ErrorString(XML_GetErrorCode(parser));
    XML_ParserFree(parser);
    INFO(text.substr(0, 2000));
    REQUIRE(error == "");
    return document;
}

struct Box {
    double left, top, right, bottom;
    std::string text;
};

// Where the texts stand, by the widths of a wide font; of the height only what letters without accents take.
inline std::vector<Box> text_boxes(const Document& document) {
    std::vector<Box> boxes;
    for (const Element& element : document.elements) {
        if (element.name != "text")
            continue;
        const double x = std::atof(element.at("x").c_str()), y = std::atof(element.at("y").c_str());
        const double width =
            thresh::plot::text_width(element.text, 14) * (element.at("font-weight") == "bold" ? 1.1 : 1.0);
        const std::string anchor = element.at("text-anchor");
        const double left = anchor == "end" ? x - width : anchor == "middle" ? x - width / 2 : x;
        boxes.push_back({left, y - 10, left + width, y + 2, element.text});
    }
    return boxes;
}

inline void check_room(const Document& document) {
    const Element& root = document.elements.front();
    const double width = std::atof(root.at("width").c_str()), height = std::atof(root.at("height").c_str());
    CHECK(root.at("viewBox") == "0 0 " + root.at("width") + " " + root.at("height"));
    const std::vector<Box> boxes = text_boxes(document);
    for (std::size_t i = 0; i < boxes.size(); ++i) {
        INFO(boxes[i].text);
        CHECK(boxes[i].left >= -1);
        CHECK(boxes[i].right <= width + 1);
        CHECK(boxes[i].top >= 0);
        CHECK(boxes[i].bottom <= height);
        for (std::size_t k = 0; k < i; ++k) {
            INFO(boxes[k].text);
            CHECK_FALSE((boxes[i].left < boxes[k].right && boxes[k].left < boxes[i].right &&
                         boxes[i].top < boxes[k].bottom && boxes[k].top < boxes[i].bottom));
        }
    }
}

// What holds for every figure: well-formed, named, ids its own, no script, no style attribute, numbers only
// where numbers belong, no text cut or over another. Returns it read.
inline Document sound(const std::string& text, const std::string& id) {
    Document document = read(text);
    const Element& root = document.elements.front();
    CHECK(root.name == "svg");
    CHECK(root.at("role") == "img");
    CHECK(root.at("aria-labelledby") == id + "-title");
    CHECK(document.elements[1].name == "title");
    CHECK(document.elements[1].at("id") == id + "-title");
    std::set<std::string> ids;
    for (const Element& element : document.elements) {
        CHECK(element.name != "script");
        CHECK(element.at("style") == "");
        if (const std::string own = element.at("id"); !own.empty()) {
            CHECK(own.rfind(id + "-", 0) == 0);
            CHECK(ids.insert(own).second);
        }
        for (const auto& [name, value] : element.attributes) {
            CHECK(name.rfind("on", 0) != 0);
            // Numbers only, in every attribute that holds a place or a size.
            for (const char* number :
                 {"x", "y", "x1", "x2", "y1", "y2", "cx", "cy", "r", "width", "height", "d"})
                if (name == number)
                    CHECK(value.find_first_not_of("0123456789.-+ MLHVmlhvZz") == std::string::npos);
        }
    }
    check_room(document);
    if (const std::string described = root.at("aria-describedby"); !described.empty())
        CHECK(ids.count(described) == 1);
    return document;
}

} // namespace svg
