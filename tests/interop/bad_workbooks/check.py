"""check.py THRESH FOLDER: gives bad workbooks to the program beside a sound export. Each must be refused with the right
reason and a way out, or read with the right finding; the sound export is read all the same; time and memory are bounded.
"""
import json
import os
import resource
import subprocess
import sys
import zipfile

thresh, folder = os.path.abspath(sys.argv[1]), sys.argv[2]
SECONDS, MEBIBYTES = 10, 300
NAMESPACE = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
HEAD = '<?xml version="1.0" encoding="UTF-8" standalone="yes"?>\n'
RELATION = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
RELATIONS = HEAD + '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">{}</Relationships>'
HEADINGS = ["Sample", "Date", "Protein (%)", "Moisture (%)"]
failures = []


def text_cell(place, text):
    return f'<c r="{place}" t="inlineStr"><is><t>{text}</t></is></c>'


def heading():
    return '<row r="1">' + "".join(text_cell(f"{'ABCD'[i]}1", text) for i, text in enumerate(HEADINGS)) + "</row>"


def reading(row, sample="A1", serial="46223.32", protein="38.1"):
    return (f'<row r="{row}">{text_cell(f"A{row}", sample)}<c r="B{row}" s="1"><v>{serial}</v></c>'
            f'<c r="C{row}"><v>{protein}</v></c><c r="D{row}"><v>6.5</v></c></row>')


def sheet(rows, before=""):
    return f"{HEAD}{before}<worksheet {NAMESPACE}><sheetData>{rows}</sheetData></worksheet>"


def parts(rows=None, **changed):
    """The parts of a sound book, by path; `changed` replaces some by the last word of their name."""
    made = {
        "_rels/.rels": RELATIONS.format(f'<Relationship Id="r1" Type="{RELATION}/officeDocument" '
                                        'Target="xl/workbook.xml"/>'),
        "xl/workbook.xml": f'{HEAD}<workbook {NAMESPACE} xmlns:r="{RELATION}"><sheets>'
                           '<sheet name="Sheet1" sheetId="1" r:id="r1"/></sheets></workbook>',
        "xl/_rels/workbook.xml.rels": RELATIONS.format(
            f'<Relationship Id="r1" Type="{RELATION}/worksheet" Target="worksheets/sheet1.xml"/>'
            f'<Relationship Id="r2" Type="{RELATION}/styles" Target="styles.xml"/>'
            f'<Relationship Id="r3" Type="{RELATION}/sharedStrings" Target="sharedStrings.xml"/>'),
        "xl/worksheets/sheet1.xml": sheet(heading() + (reading(2) if rows is None else rows)),
        "xl/styles.xml": f'{HEAD}<styleSheet {NAMESPACE}><cellXfs><xf numFmtId="0"/><xf numFmtId="22"/></cellXfs>'
                         "</styleSheet>",
        "xl/sharedStrings.xml": f"{HEAD}<sst {NAMESPACE}><si><t>A1</t></si></sst>",
    }
    for path in made:
        made[path] = changed.get(path.rsplit("/", 1)[-1].split(".")[0], made[path])
    return made


def save(name, content):
    path = os.path.join(folder, name)
    if isinstance(content, dict):
        with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED, compresslevel=1) as book:
            for part, data in content.items():
                book.writestr(part, data)
    else:
        with open(path, "wb") as out:
            out.write(content)
    return path


def run(*arguments):
    """Exit status, output, messages, processor seconds, and peak memory in MiB."""
    with open(os.path.join(folder, "out"), "w+b") as out, open(os.path.join(folder, "err"), "w+b") as err:
        child = subprocess.Popen([thresh, *arguments], stdout=out, stderr=err, cwd=folder, stdin=subprocess.DEVNULL,
                                 preexec_fn=lambda: resource.setrlimit(resource.RLIMIT_CPU, (120, 120)))
        _, status, usage = os.wait4(child.pid, 0)
        child.returncode = os.waitstatus_to_exitcode(status)
        out.seek(0)
        err.seek(0)
        return (child.returncode, out.read().decode(), err.read().decode(errors="replace"),
                usage.ru_utime + usage.ru_stime, usage.ru_maxrss / 1024)


def case(name, content, reason=None, code=None, rows=None, seconds=SECONDS, mebibytes=MEBIBYTES):
    """Refused for a reason, or read with `rows` readings and, where given, with findings of `code`."""
    save(name, content)
    status, out, err, taken, peak = run("readings", "good.csv", name, "--format", "json", "--digits", "full")
    readings = json.loads(out) if out else []
    good = [r for r in readings if r["source"] == "good.csv"]
    got = len(readings) - len(good)
    problems = []
    if len(good) != 1:
        problems.append("the sound export beside it was not read")
    if reason is not None and (status != 2 or reason not in err or "help: " not in err or got):
        problems.append(f"status {status}, {got} readings, not refused for `{reason}`: {err[:400]!r}")
    if rows is not None and (status != 0 or got != rows):
        problems.append(f"status {status}, {got} readings instead of {rows}: {err[:400]!r}")
    if code is not None:
        found = [f["code"] for f in json.loads(run("findings", name, "--format", "json", "-q")[1] or "[]")]
        if code not in found:
            problems.append(f"no finding {code}: {found}")
    if taken > seconds:
        problems.append(f"took {taken:.1f} s")
    if peak > mebibytes:
        problems.append(f"took {peak:.0f} MiB")
    failures.extend(problems)
    print(f"{'FAILED ' if problems else ''}{name}: {got} readings, {taken:.2f} s, {peak:.0f} MiB; {'; '.join(problems)}")


save("good.csv", b"Sample,Date,Protein (%),Moisture (%)\nG1,2026-08-03,38.1,6.5\n")
sound = open(save("sound.xlsx", parts()), "rb").read()
case("read.xlsx", sound, rows=1)
case("cut.xlsx", sound[: len(sound) // 2], "cut short or damaged")
case("cut-tail.xlsx", sound[:-10], "cut short or damaged")
case("garbage.xlsx", bytes((i * i * 31 + i // 7) % 251 for i in range(5000)), "the file is not text")
case("garbage-zip.xlsx", b"PK\x03\x04" + bytes((i * i * 31 + i // 7) % 251 for i in range(5000)), "damaged")
case("empty.xlsx", b"", "empty")
case("text.xlsx", b"Sample;Protein (%);Moisture (%)\nA1;38,1;6,5\nA2;38,2;6,4\n", rows=2)
case("archive.xlsx", {"week32.csv": "a"}, "zip archive, but not an .xlsx workbook")
case("document.xlsx", {"word/document.xml": "<a/>"}, ".docx")
compound = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600
case("old.xlsx", compound + "Workbook".encode("utf-16-le"), "older .xls kind")
case("locked.xlsx", compound + "EncryptedPackage".encode("utf-16-le"), "protected by a password")

blank = "<row/>" * 1000
case("bomb.xlsx", parts(sheet1=sheet(heading() + blank * 30_000)), "part `xl/worksheets/sheet1.xml`")
case("bomb-strings.xlsx", parts(sharedStrings=f"<sst {NAMESPACE}>" + "<si><t>aaaaaaaaaa</t></si>" * 12_000_000),
     "part `xl/sharedStrings.xml`", seconds=30, mebibytes=400)
case("bomb-text.xlsx", parts(f'<row r="2">{text_cell("A2", "a" * 30_000_000)}</row>'), "refused")
case("entities.xlsx", parts(sheet1=sheet(heading() + '<row r="2"><c r="A2"><v>&b;</v></c></row>',
     '<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa"><!ENTITY b "&a;&a;&a;&a;">]>')), "document type definition")
case("outside.xlsx", parts(sheet1=sheet(heading() + reading(2, sample="&f;"),
     '<!DOCTYPE x [<!ENTITY f SYSTEM "file:///etc/hostname">]>')), "document type definition")
case("climbs.xlsx", {**parts(), "xl/_rels/workbook.xml.rels": RELATIONS.format(
    f'<Relationship Id="r1" Type="{RELATION}/worksheet" Target="../../../../etc/hostname"/>')}, "points at a part")
case("external.xlsx", {**parts(), "xl/_rels/workbook.xml.rels": RELATIONS.format(
    f'<Relationship Id="r1" Type="{RELATION}/worksheet" Target="file:///etc/hostname" TargetMode="External"/>')},
    "points at no part")
case("tricks.xlsx", {**parts(), "../../sheet1.xml": "x", "/etc/passwd": "x", "C:\\a.xml": "x"}, rows=1)

tall = "".join(reading(row, f"S{row}") for row in range(2, 1_048_577))
save("tall.xlsx", parts(tall))
status, out, err, taken, peak = run("inspect", "tall.xlsx", "--format", "json")
print(f"tall.xlsx: {taken:.2f} s, {peak:.0f} MiB")
if status != 0 or '"records": 1048575' not in out or taken > 3 * SECONDS or peak > MEBIBYTES:
    failures.append("tall.xlsx")
    print(f"FAILED tall.xlsx: status {status}: {err[:400]}{out[:400]}")
case("tall-empty.xlsx", parts(reading(2) + reading(1_048_576, "LAST")), rows=2)
case("too-tall.xlsx", parts(reading(2) + reading(1_048_577)), "damaged")
strings = "".join(f"<si><t>S{i}</t></si>" for i in range(1_000_000))
shared = heading() + reading(2) + '<row r="3"><c r="A3" t="s"><v>999999</v></c><c r="C3"><v>40</v></c></row>'
case("strings.xlsx", parts(sheet1=sheet(shared), sharedStrings=f"<sst {NAMESPACE}>{strings}</sst>"), rows=2)

case("before-1900.xlsx", parts(reading(2, serial="-5") + reading(3, "A2")), rows=2, code="date-doubtful")
case("never-was.xlsx", parts(reading(2, serial="60.5") + reading(3, "A2")), rows=2, code="date-doubtful")
case("early-1900.xlsx", parts(reading(2, serial="12") + reading(3, "A2")), rows=2, code="date-doubtful")
print(f"{len(failures)} failures")
sys.exit(1 if failures else 0)
