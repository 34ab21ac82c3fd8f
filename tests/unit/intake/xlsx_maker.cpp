// minizip writes the archive into a string through its file functions.
#include "unit/intake/xlsx_maker.hpp"

#include <algorithm>
#include <cstring>
#include <minizip/zip.h>
#include <zlib.h>

namespace thresh::test {

namespace {

struct Output {
    std::string bytes;
    std::size_t at = 0;
};

Output& output_of(voidpf stream) {
    return *static_cast<Output*>(stream);
}

voidpf open_output(voidpf opaque, const void*, int) {
    return opaque;
}
uLong read_output(voidpf, voidpf stream, void* buffer, uLong size) {
    Output& out = output_of(stream);
    const std::size_t count = std::min<std::size_t>(size, out.bytes.size() - out.at);
    std::memcpy(buffer, out.bytes.data() + out.at, count);
    out.at += count;
    return count;
}
uLong write_output(voidpf, voidpf stream, const void* buffer, uLong size) {
    Output& out = output_of(stream);
    if (out.bytes.size() < out.at + size)
        out.bytes.resize(out.at + size);
    std::memcpy(out.bytes.data() + out.at, buffer, size);
    out.at += size;
    return size;
}
ZPOS64_T tell_output(voidpf, voidpf stream) {
    return output_of(stream).at;
}
long seek_output(voidpf, voidpf stream, ZPOS64_T offset, int origin) {
    Output& out = output_of(stream);
    std::size_t base = 0;
    if (origin == ZLIB_FILEFUNC_SEEK_CUR)
        base = out.at;
    if (origin == ZLIB_FILEFUNC_SEEK_END)
        base = out.bytes.size();
    out.at = base + offset;
    return 0;
}
int nothing(voidpf, voidpf) {
    return 0;
}

} // namespace

std::string make_zip(const Parts& parts) {
    Output out;
    zlib_filefunc64_def functions{};
    functions.zopen64_file = open_output;
    functions.zread_file = read_output;
    functions.zwrite_file = write_output;
    functions.ztell64_file = tell_output;
    functions.zseek64_file = seek_output;
    functions.zclose_file = nothing;
    functions.zerror_file = nothing;
    functions.opaque = &out;
    zipFile zip = zipOpen2_64("", APPEND_STATUS_CREATE, nullptr, &functions);
    for (const auto& [name, content] : parts) {
        const zip_fileinfo info{};
        zipOpenNewFileInZip(zip, name.c_str(), &info, nullptr, 0, nullptr, 0, nullptr, Z_DEFLATED, 6);
        zipWriteInFileInZip(zip, content.data(), static_cast<unsigned>(content.size()));
        zipCloseFileInZip(zip);
    }
    zipClose(zip, nullptr);
    return out.bytes;
}

Parts book_parts(const BookText& text) {
    const std::string xml = "<?xml version=\"1.0\" encoding=\"UTF-8\" standalone=\"yes\"?>\n";
    const std::string main = " xmlns=\"http://schemas.openxmlformats.org/spreadsheetml/2006/main\"";
    const std::string rel = "http://schemas.openxmlformats.org/officeDocument/2006/relationships";
    const std::string rels = xml + "<Relationships xmlns=\"http://schemas.openxmlformats.org/package/2006/"
                                   "relationships\">";
    Parts parts;
    parts.emplace_back("_rels/.rels", rels + "<Relationship Id=\"rId1\" Type=\"" + rel +
                                          "/officeDocument\" Target=\"xl/workbook.xml\"/></Relationships>");
    parts.emplace_back("xl/workbook.xml", xml + "<workbook" + main + " xmlns:r=\"" + rel + "\">" +
                                              text.workbook_extras +
                                              "<sheets><sheet name=\"Sheet1\" sheetId=\"1\" r:id=\"rId1\"/>"
                                              "</sheets></workbook>");
    std::string list =
        rels + "<Relationship Id=\"rId1\" Type=\"" + rel + "/worksheet\" Target=\"worksheets/sheet1.xml\"/>";
    if (!text.styles.empty()) {
        list += "<Relationship Id=\"rId2\" Type=\"" + rel + "/styles\" Target=\"styles.xml\"/>";
        parts.emplace_back("xl/styles.xml", xml + "<styleSheet" + main + "><numFmts>" + text.formats +
                                                "</numFmts><cellStyleXfs><xf numFmtId=\"14\"/></cellStyleXfs>"
                                                "<cellXfs>" +
                                                text.styles + "</cellXfs></styleSheet>");
    }
    if (!text.shared.empty()) {
        list += "<Relationship Id=\"rId3\" Type=\"" + rel + "/sharedStrings\" Target=\"sharedStrings.xml\"/>";
        parts.emplace_back("xl/sharedStrings.xml", xml + "<sst" + main + ">" + text.shared + "</sst>");
    }
    parts.emplace_back("xl/_rels/workbook.xml.rels", list + "</Relationships>");
    parts.emplace_back("xl/worksheets/sheet1.xml", xml + "<worksheet" + main + "><sheetData>" + text.rows +
                                                       "</sheetData>" + text.behind + "</worksheet>");
    return parts;
}

std::string make_book(const BookText& text) {
    return make_zip(book_parts(text));
}

void set_part(Parts& parts, std::string_view name, std::string content) {
    for (auto& part : parts)
        if (part.first == name) {
            part.second = std::move(content);
            return;
        }
    parts.emplace_back(name, std::move(content));
}

} // namespace thresh::test
