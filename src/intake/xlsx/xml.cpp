// expat, fed piece by piece. Document type definitions are refused (workbooks have none; entities are the way
// to blow up a parser), and so are nesting and single tags beyond any use, which expat would have to keep in
// memory.
#include "intake/xlsx/xml.hpp"

#include "intake/xlsx/errors.hpp"

#include <expat.h>
#include <fmt/format.h>
#include <memory>

namespace thresh::intake::xlsx {

namespace {

// One walk over the name, which is short: this runs for every tag.
std::string_view local_name(const char* name) {
    const char* at = name;
    for (; *at != '\0'; ++at)
        if (*at == ':')
            name = at + 1;
    return {name, static_cast<std::size_t>(at - name)};
}

struct FreeParser {
    void operator()(XML_Parser parser) const { XML_ParserFree(parser); }
};

struct Run {
    XML_Parser parser;
    XmlHandler& handler;
    const Limits& limits;
    std::string_view part;
    std::size_t depth = 0;
    std::uint64_t fed = 0;     // bytes given to the parser
    std::uint64_t reached = 0; // bytes it has dealt with
    std::optional<Error> error;

    void refuse(Error reason) {
        if (!error)
            error = std::move(reason);
        XML_StopParser(parser, XML_FALSE);
    }
    void stop_if_asked() {
        if (handler.stopped())
            XML_StopParser(parser, XML_FALSE);
    }
};

void XMLCALL on_start(void* data, const XML_Char* name, const XML_Char** attributes) {
    Run& run = *static_cast<Run*>(data);
    if (run.handler.stopped() || run.error)
        return; // expat may still deliver the end of an empty tag
    if (++run.depth > run.limits.xml_depth) {
        run.refuse(too_large(run.part, "its tags are nested too deeply"));
        return;
    }
    run.handler.start(local_name(name), Attributes(attributes));
    run.stop_if_asked();
}

void XMLCALL on_end(void* data, const XML_Char* name) {
    Run& run = *static_cast<Run*>(data);
    if (run.handler.stopped() || run.error)
        return;
    --run.depth;
    run.handler.end(local_name(name));
    run.stop_if_asked();
}

void XMLCALL on_text(void* data, const XML_Char* piece, int size) {
    Run& run = *static_cast<Run*>(data);
    if (run.handler.stopped() || run.error)
        return;
    run.handler.text({piece, static_cast<std::size_t>(size)});
    run.stop_if_asked();
}

void XMLCALL on_doctype(void* data, const XML_Char*, const XML_Char*, const XML_Char*, int) {
    Run& run = *static_cast<Run*>(data);
    run.refuse(damaged(run.part, "it holds a document type definition, which workbooks do not have"));
}

// One piece into expat; false when the reading is over, with run.error set if it failed.
bool feed(Run& run, std::string_view chunk, bool last) {
    run.fed += chunk.size();
    const XML_Status status =
        XML_Parse(run.parser, chunk.data(), static_cast<int>(chunk.size()), last ? XML_TRUE : XML_FALSE);
    if (run.handler.stopped() || run.error)
        return false;
    if (status != XML_STATUS_OK) {
        run.error = damaged(run.part, fmt::format("not well-formed XML, {} at line {}",
                                                  XML_ErrorString(XML_GetErrorCode(run.parser)),
                                                  XML_GetCurrentLineNumber(run.parser)));
        return false;
    }
    // expat knows no position (-1) while it waits for the end of a long tag: the last known one then counts.
    if (const XML_Index at = XML_GetCurrentByteIndex(run.parser); at >= 0)
        run.reached = static_cast<std::uint64_t>(at);
    if (!last && run.fed - run.reached > run.limits.xml_token_bytes) {
        run.error = too_large(run.part,
                              fmt::format("a single tag of more than {} bytes", run.limits.xml_token_bytes));
        return false;
    }
    return true;
}

} // namespace

std::optional<std::string_view> Attributes::find(std::string_view name) const {
    for (const char** pair = pairs_; *pair != nullptr; pair += 2)
        if (local_name(pair[0]) == name)
            return std::string_view(pair[1]);
    return std::nullopt;
}

bool Attributes::is_true(std::string_view name) const {
    const auto value = find(name);
    return value && (*value == "1" || *value == "true");
}

Result<void> parse_part(const Archive& archive, std::string_view part, XmlHandler& handler) {
    const std::unique_ptr<XML_ParserStruct, FreeParser> parser(XML_ParserCreate(nullptr));
    if (!parser)
        return fail("not enough memory for an XML parser");
    Run run{parser.get(), handler, archive.limits(), part, 0, 0, 0, std::nullopt};
    XML_SetUserData(parser.get(), &run);
    XML_SetElementHandler(parser.get(), on_start, on_end);
    XML_SetCharacterDataHandler(parser.get(), on_text);
    XML_SetStartDoctypeDeclHandler(parser.get(), on_doctype);

    bool more = true;
    const auto streamed = archive.stream(part, [&](std::string_view chunk) {
        more = feed(run, chunk, false);
        return more;
    });
    if (more && streamed)
        feed(run, {}, true);
    if (run.error)
        return tl::unexpected(*run.error);
    if (handler.error())
        return tl::unexpected(*handler.error());
    return streamed;
}

} // namespace thresh::intake::xlsx
