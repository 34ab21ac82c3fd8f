"""Every #include stays within the layers of CMakeLists.txt, and DEVELOPERS.md tells the same layers.

CMakeLists.txt says with thresh_library(FOLDER USES ... PRIVATE ...) which folders and libraries a folder may use. A linker
only notices a missing symbol; this test notices the #include. It also wants folders below first (no cycle), public
headers free of the libraries that are private to a folder, and private headers of a folder used by that folder alone.
"""
import re

from repo import finish, is_code, root, text_of, tracked

# how a library of CMakeLists.txt shows in an #include
headers_of_library = {
    "fmt::fmt": r"fmt/",
    "tl::expected": r"tl/expected",
    "Eigen3::Eigen": r"(unsupported/)?Eigen/",
    "Boost::headers": r"boost/",
    "nlohmann_json::nlohmann_json": r"nlohmann/",
    "muparser::muparser": r"muParser",
    "CLI11::CLI11": r"CLI/",
    "OpenSSL::Crypto": r"openssl/",
    "EXPAT::EXPAT": r"expat\.h",
    "fccp": r"(libfccp/)?csv\.h",
    "PkgConfig::MINIZIP": r"(minizip/|unzip\.h|zip\.h)",
    "PkgConfig::XLSXWRITER": r"xlsxwriter",
    "PkgConfig::UTF8PROC": r"utf8proc",
}


def declared():
    """{folder: (folders it uses, libraries it may show, libraries it must hide)} in the order of CMakeLists.txt."""
    layers = {}
    for call in re.findall(r"^thresh_library\((.*?)\)", text_of("CMakeLists.txt"), flags=re.M | re.S):
        words = call.split()
        uses, private, into = [], [], None
        for word in words[1:]:
            if word in ("USES", "PRIVATE"):
                into = uses if word == "USES" else private
            else:
                into.append(word)
        folders = [word.removeprefix("thresh_") for word in uses if word.startswith("thresh_")]
        layers[words[0]] = (folders, [word for word in uses if not word.startswith("thresh_")], private)
    return layers


def folder_of(path):
    parts = path.parts
    if parts[0] == "src":
        return parts[1]
    return parts[2] if parts[:2] == ("include", "thresh") else None


def problems_of_include(path, folder, name, layers):
    folders, shown, hidden = layers[folder]
    public = path.parts[0] == "include"
    match = re.match(r"thresh/([a-z]+)/", name)
    if match:
        if match[1] != folder and match[1] not in folders:
            yield f"{folder} may not use {match[1]}"
        if not (root / "include" / name).is_file():
            yield f"there is no include/{name}"
        return
    match = re.match(r"([a-z]+)/[a-z0-9_/]+\.(hpp|inc)$", name)
    if match and match[1] in layers:
        if public:
            yield "a public header may not use a private one"
        if match[1] != folder:
            yield f"{name} is private to {match[1]}"
        return
    everywhere = layers["core"][1]
    for library, pattern in headers_of_library.items():
        if not re.match(pattern, name):
            continue
        if library not in shown + hidden + everywhere:
            yield f"{folder} does not name {library} in CMakeLists.txt"
        elif public and library in hidden:
            yield f"{library} is private to the sources of {folder}, not for its public headers"


def problems_of_table(layers):
    """The table in DEVELOPERS.md: | `folder` | ... | may use | with the folders of CMakeLists.txt."""
    rows = dict(re.findall(r"^\| `(\w+)` \|.*\| ([^|]*) \|$", text_of("DEVELOPERS.md") or "", flags=re.M))
    for folder, (folders, _, _) in layers.items():
        told = set(re.findall(r"[a-z]+", rows.get(folder, "")))
        if folder not in rows:
            yield f"DEVELOPERS.md: the structure table has no row for `{folder}`"
        elif told != set(folders) and not (told == {"everything"} and len(folders) == len(layers) - 1):
            yield f"DEVELOPERS.md: `{folder}` may use {sorted(folders)} by CMakeLists.txt, the table says {sorted(told)}"


layers = declared()
problems, includes = list(problems_of_table(layers)), 0
for place, (folder, (folders, _, _)) in enumerate(layers.items()):
    for used in folders:
        if used not in list(layers)[:place]:
            problems.append(f"CMakeLists.txt: {folder} uses {used}, which does not stand above it")
for path in tracked():
    folder = folder_of(path) if is_code(path) else None
    if folder is None:
        continue
    if folder not in layers:
        problems.append(f"{path}: folder {folder} is not in CMakeLists.txt")
        continue
    for number, line in enumerate(text_of(path).splitlines(), 1):
        match = re.match(r'\s*#\s*include\s*[<"]([^>"]+)[>"]', line)
        if match:
            includes += 1
            problems += [f"{path}:{number}: {text}" for text in problems_of_include(path, folder, match[1], layers)]
finish(problems, f"{includes} includes in {len(layers)} layers")
