"""binary_workbooks_test.py BINARY: exports, sample lists and decisions as workbooks of several sheets.

What holds for text exports holds for sheets: preamble, units row, decimal commas kept as text, summary rows, altered IDs.
"""
import csv
import json
import pathlib
import shutil
import subprocess
import sys
import tempfile
import unittest
import zipfile
from xml.sax.saxutils import escape

binary = pathlib.Path(sys.argv[1]).resolve()
relation = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
main = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'
package = 'xmlns="http://schemas.openxmlformats.org/package/2006/relationships"'


def save(path, sheets, merged=None):
    """A workbook of sheets {name: rows}; a cell is a text, a number, or None. `merged`: {sheet: ["C1:E1"]}."""
    names = list(sheets)
    with zipfile.ZipFile(path, "w") as book:
        book.writestr("_rels/.rels", f'<Relationships {package}><Relationship Id="r" Type="{relation}/officeDocument" '
                                     'Target="xl/workbook.xml"/></Relationships>')
        book.writestr("xl/workbook.xml", f'<workbook {main} xmlns:r="{relation}"><sheets>' + "".join(
            f'<sheet name="{escape(name)}" sheetId="{i + 1}" r:id="r{i + 1}"/>' for i, name in enumerate(names))
            + "</sheets></workbook>")
        book.writestr("xl/_rels/workbook.xml.rels", f"<Relationships {package}>" + "".join(
            f'<Relationship Id="r{i + 1}" Type="{relation}/worksheet" Target="worksheets/sheet{i + 1}.xml"/>'
            for i in range(len(names))) + "</Relationships>")
        for i, name in enumerate(names):
            xml = ""
            for r, row in enumerate(sheets[name], 1):
                cells = ""
                for c, value in enumerate(row):
                    place = f"{'ABCDEFGHIJKLM'[c]}{r}"
                    if isinstance(value, str):
                        cells += f'<c r="{place}" t="inlineStr"><is><t>{escape(value)}</t></is></c>'
                    elif value is not None:
                        cells += f'<c r="{place}"><v>{value!r}</v></c>'
                xml += f'<row r="{r}">{cells}</row>'
            behind = "".join(f'<mergeCell ref="{ref}"/>' for ref in (merged or {}).get(name, []))
            behind = f"<mergeCells>{behind}</mergeCells>" if behind else ""
            book.writestr(f"xl/worksheets/sheet{i + 1}.xml",
                          f"<worksheet {main}><sheetData>{xml}</sheetData>{behind}</worksheet>")


headings = ["Sample ID", "Analysis", "Moisture (%)", "Protein (% as is)", "Oil (% as is)"]


def readings(*rows):
    return [headings, *([sample, "Soybean whole", *values] for sample, *values in rows)]


class Workbooks(unittest.TestCase):
    def setUp(self):
        self.folder = pathlib.Path(tempfile.mkdtemp(prefix="thresh-books-"))
        self.addCleanup(shutil.rmtree, self.folder, ignore_errors=True)

    def thresh(self, *arguments, status=0):
        done = subprocess.run([binary, *arguments], cwd=self.folder, text=True, capture_output=True, timeout=60,
                              stdin=subprocess.DEVNULL)
        self.assertEqual(done.returncode, status, done.stderr)
        return done

    def rows(self, *arguments):
        return list(csv.DictReader(self.thresh(*arguments, "--digits", "full", "-q").stdout.splitlines()))

    def test_every_sheet_with_readings_is_read_and_told_and_sheet_picks_one(self):
        save(self.folder / "week32.xlsx", {"Mon": readings(("A-1", 6.2, 37.1, 20.4)), "Notes": [["call the lab"]],
                                           "Tue": readings(("A-2", 6.4, 36.9, 20.2), ("A-3", 9.5, 36, 20))})
        self.assertEqual([row["sample"] for row in self.rows("readings", "week32.xlsx")], ["A-1", "A-2", "A-3"])
        self.assertEqual([row["sample"] for row in self.rows("readings", "week32.xlsx", "--sheet", "Tue")], ["A-2", "A-3"])
        self.assertIn("Notes", self.thresh("inspect", "week32.xlsx").stdout)
        self.thresh("lines", "week32.xlsx", "--sheet", "Wed", status=2)

    def test_places_name_sheet_and_cell(self):
        save(self.folder / "week32.xlsx", {"Sheet1": readings(("A-1", 6.2, 37.1, 20.4), ("A-2", 9.5, 36.5, 20.1))})
        self.assertIn("week32.xlsx[Sheet1]!C3", self.thresh("lines", "week32.xlsx", "-v").stderr)
        trace = self.thresh("trace", "week32.xlsx", "--line", "A-1", "--constituent", "protein", "--format", "table").stdout
        self.assertIn("week32.xlsx[Sheet1]!D2", trace)

    def test_a_sample_list_has_one_sheet_for_each_trial_and_decisions_may_be_a_workbook(self):
        save(self.folder / "week.xlsx", {"Sheet1": readings(("A-1", 6.2, 37.1, 20.4), ("B-1", 6.3, 52, 20.4))})
        save(self.folder / "list.xlsx", {"North": [["Packet", "Genotype", "Trial"], ["A-1", "N1", "T-North"]],
                                         "South": [["Trial", "Packet", "Genotype"], ["T-South", "B-1", "S1"]],
                                         "About": [["who", "what"], ["AB", "lists"]]})
        save(self.folder / "decisions.xlsx", {"Settled": [["sample", "code", "decision", "reason", "initials"],
                                                          ["B-1", "above-expected", "keep", "seen", "AB"]]})
        lists = ["--samples", "list.xlsx", "--decisions", "decisions.xlsx"]
        self.assertEqual([(row["trial"], row["line"]) for row in self.rows("lines", "week.xlsx", *lists)],
                         [("T-North", "N1"), ("T-South", "S1")])
        found = {row["code"]: row for row in self.rows("findings", "week.xlsx", *lists)}
        self.assertNotIn("decision-unmatched", found)
        to_do = json.loads(self.thresh("todo", "week.xlsx", *lists, "--format", "json").stdout)
        self.assertEqual([item["reason"] for item in to_do], ["layout-doubtful", "standard-absent"])  # nothing about B-1
        self.assertEqual((found["layout-doubtful"]["source"], found["layout-doubtful"]["severity"]),
                         ("list.xlsx[About]", "note"))

    def test_a_sample_on_the_sheets_of_two_trials_is_an_error_that_names_both_places(self):
        save(self.folder / "week.xlsx", {"Sheet1": readings(("A-1", 6.2, 37.1, 20.4))})
        save(self.folder / "list.xlsx", {"North": [["Packet", "Genotype", "Trial"], ["A-1", "N1", "T-North"]],
                                         "South": [["Packet", "Genotype", "Trial"], ["B-1", "S1", "T-South"],
                                                   ["A-1", "N1", "T-South"]]})
        told = self.thresh("lines", "week.xlsx", "--samples", "list.xlsx", status=2).stderr
        self.assertIn("list.xlsx[South]:3", told)
        self.assertIn("`A-1` is listed twice with a different trial: here and in line 2 of sheet `North`", told)

    def test_a_sheet_with_preamble_units_row_text_numbers_and_summary_rows_is_read_like_text(self):
        rows = [["Seed laboratory"], [], ["Sample ID", "Analysis", "Moisture", "Protein (as is)", "Oil (as is)"],
                [None, None, "%", "%", "g/kg"],
                ["A-1", "Soybean whole", "6,20", "37,15", 204.5], ["A-2", "Soybean whole", "6,40", "36,9", 202],
                ["Mean", None, 6.3, 37.0, 203.2], ["SD", None, 0.1, 0.2, 1.8]]
        save(self.folder / "week.xlsx", {"Sheet1": rows})
        got = self.rows("readings", "week.xlsx", "--basis", "as-is")
        self.assertEqual([(row["sample"], row["moisture"], row["protein"], row["oil"]) for row in got],
                         [("A-1", "6.2", "37.15", "20.45"), ("A-2", "6.4", "36.9", "20.2")])
        self.assertIn("Seed laboratory", self.thresh("inspect", "week.xlsx").stdout)

    def test_a_comma_typed_among_numbers_is_read_and_asked_about_only_where_it_may_part_thousands(self):
        for typed, asked, read in ("6,20", [], "6.2"), ("6,200", ["--decimal . or --decimal ,"], ""):
            save(self.folder / "week.xlsx", {"Sheet1": readings(("A-1", typed, 37.1, 20.4), ("A-2", 6.4, 36.9, 20.2))})
            found = self.rows("findings", "week.xlsx")
            self.assertEqual([row["action"].lstrip("'") for row in found if row["code"] == "decimal-doubtful"], asked)
            self.assertEqual([row["moisture"] for row in self.rows("readings", "week.xlsx")], [read, "6.4"])
            settled = self.rows("readings", "week.xlsx", "--decimal", ",")
            self.assertEqual([row["moisture"] for row in settled], ["6.2", "6.4"])

    def test_a_merged_group_heading_gives_its_basis_to_the_columns_below(self):
        rows = [["Sample ID", "Analysis", "Composition (% DM)", None, "Moisture (%)"],
                [None, None, "Protein", "Oil", None], ["A-1", "Soybean whole", 40, 22, 6]]
        save(self.folder / "week.xlsx", {"Sheet1": rows}, {"Sheet1": ["C1:D1"]})
        got = self.rows("readings", "week.xlsx", "--basis", "dry")
        self.assertEqual([(row["protein"], row["oil"]) for row in got], [("40", "22")])

    def test_ids_that_the_sheet_turned_into_numbers_are_told(self):
        save(self.folder / "week.xlsx", {"Sheet1": readings((7, 6.2, 37.1, 20.4), (110000.0, 6.3, 37.2, 20.5))})
        (self.folder / "list.csv").write_text("sample,line\n007,N1\n11E4,N2\n")
        found = [(row["code"], row["sample"]) for row in self.rows("findings", "week.xlsx", "--samples", "list.csv")]
        told = {sample for code, sample in found if code in ("id-altered", "sample-unlisted")}
        self.assertEqual(len(told), 2, found)
        words = " ".join(row["message"] for row in self.rows("findings", "week.xlsx", "--samples", "list.csv"))
        self.assertIn("007", words)

    def test_ids_of_more_digits_than_a_spreadsheet_keeps_stay_apart_and_are_told(self):
        save(self.folder / "week.xlsx", {"Sheet1": readings((2026010000012341, 6.2, 37.1, 20.4),
                                                            (2026010000012343, 6.3, 37.2, 20.5),
                                                            (2026010000012350, 6.3, 37.2, 20.5))})
        save(self.folder / "list.xlsx", {"Sheet1": [["sample", "line"], [2026010000012341, "L1"], [2026010000012343, "L2"],
                                                    ["2026010000012352", "L3"]]})
        self.assertEqual([row["sample"] for row in self.rows("readings", "week.xlsx")],
                         ["2026010000012341", "2026010000012343", "2026010000012350"])
        alone = [(row["severity"], row["sample"]) for row in self.rows("findings", "week.xlsx") if row["code"] == "id-altered"]
        self.assertEqual(alone, [("note", "2026010000012341"), ("note", "2026010000012343"), ("review", "2026010000012350")])
        listed = self.rows("findings", "week.xlsx", "--samples", "list.xlsx")
        told = [row["message"] for row in listed if row["code"] == "id-altered"]
        self.assertEqual(told, ["`2026010000012350` is a number in the workbook, of which spreadsheets keep 15 digits; "
                                "it may have been `2026010000012352`"])
        lines = self.rows("lines", "week.xlsx", "--samples", "list.xlsx")
        self.assertEqual({row["line"]: row["readings"] for row in lines}, {"L1": "1", "L2": "1", "L3": "0"})

    def test_findings_name_another_row_with_its_sheet_and_decisions_may_be_so_written(self):
        dated = [["Date time", *headings], ["2026-08-03 07:41:00", "A-1", "Soybean whole", 6.2, 37.1, 20.4]]
        changed = [["Date time", *headings], ["2026-08-03 07:41:00", "A-1", "Soybean whole", 6.2, 37.3, 20.4]]
        save(self.folder / "week.xlsx", {"East": dated, "West": changed})
        found = [row for row in self.rows("findings", "week.xlsx") if row["code"] == "reading-changed"]
        self.assertEqual(len(found), 1)
        self.assertIn("week.xlsx[West]:2", found[0]["message"])
        self.assertIn("enter `drop` for week.xlsx[East]:2", found[0]["action"])
        (self.folder / "decisions.csv").write_text("source,row,decision,reason,initials\nweek.xlsx[East],2,drop,seen,AB\n")
        verdicts = [row["verdict"] for row in self.rows("readings", "week.xlsx", "--decisions", "decisions.csv")]
        self.assertEqual(verdicts, ["exclude", "use"])


if __name__ == "__main__":
    unittest.main(argv=sys.argv[:1])
