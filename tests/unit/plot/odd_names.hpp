// Names that real files hold, and some that nobody should.
#pragma once

#include <string>
#include <vector>

inline const std::vector<std::string>& odd_names() {
    static const std::vector<std::string> names = {
        "LE-016",
        std::string(300, 'W'),
        "</script><img src=x onerror=alert(1)>",
        "\xD7\x9C\xD7\x95\xD7\x99-12",                                  // right to left
        "\xF0\x9F\x8C\xB1\xF0\x9F\x91\xA9\xE2\x80\x8D\xF0\x9F\x8C\xBE", // emoji, one of them joined
        "a&b \"c\" 'd' ]]>",
        "\xFF\xFE broken \x01\x02",
        "\xE2\x80\xAE turned",
        "",
        "two\nlines\tand a tab",
        "\xE8\xB1\x86\xE8\xB1\x86\xE8\xB1\x86", // wide characters
    };
    return names;
}
