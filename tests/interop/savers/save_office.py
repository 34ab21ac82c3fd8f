"""save_office.py FOLDER LANGUAGE: saves FOLDER/sheet.fods and small_days.fods with the office suite, set to the language,
as workbooks and as text, the ways people do: FOLDER/office-LANGUAGE*.xlsx|csv. FOLDER/doubtful-LANGUAGE.csv has days
that no reader can tell from months; FOLDER/wrong-LANGUAGE.xlsx is an English text opened and saved in the language.

One process of the suite does it all over its programming interface: starting it takes longer than saving a sheet.
"""
import os
import subprocess
import sys
import time

import uno
from com.sun.star.beans import PropertyValue

DELIMITERS = {"comma": 44, "semicolon": 59, "tab": 9}
CHARACTER_SETS = {"utf8": 76, "utf16": 65535, "cp1252": 1}  # the numbers of the suite's text filter
PROFILE = """<?xml version="1.0" encoding="UTF-8"?>
<oor:items xmlns:oor="http://openoffice.org/2001/registry"><item oor:path="/org.openoffice.Setup/L10N">
<prop oor:name="ooSetupSystemLocale" oor:op="fuse"><value>{}</value></prop></item></oor:items>
"""


def properties(**values):
    return tuple(PropertyValue(Name=name, Value=value) for name, value in values.items())


def url(*path):
    return uno.systemPathToFileUrl(os.path.abspath(os.path.join(*path)))


class Suite:
    def __init__(self, folder, language):
        profile = os.path.join(folder, "profile-" + language)
        os.makedirs(os.path.join(profile, "user"), exist_ok=True)
        with open(os.path.join(profile, "user", "registrymodifications.xcu"), "w", encoding="utf-8") as out:
            out.write(PROFILE.format(language))
        pipe = f"savers-{os.getpid()}"
        self.process = subprocess.Popen(
            ["soffice", "-env:UserInstallation=" + url(profile), "--headless", "--norestore", "--nologo",
             f"--accept=pipe,name={pipe};urp"], stdin=subprocess.DEVNULL, stdout=subprocess.DEVNULL)
        context = uno.getComponentContext()
        resolver = context.ServiceManager.createInstanceWithContext("com.sun.star.bridge.UnoUrlResolver", context)
        for _ in range(600):
            try:
                remote = resolver.resolve(f"uno:pipe,name={pipe};urp;StarOffice.ComponentContext")
                break
            except Exception:  # not listening yet
                if self.process.poll() not in (None, 0):
                    raise
                time.sleep(0.2)
        self.desktop = remote.ServiceManager.createInstanceWithContext("com.sun.star.frame.Desktop", remote)

    def open(self, path, **options):
        return self.desktop.loadComponentFromURL(url(path), "_blank", 0, properties(Hidden=True, **options))

    def close(self):
        try:
            self.desktop.terminate()
        except Exception:  # it hangs up while it answers
            pass
        self.process.wait(60)


def save_book(document, path):
    document.storeToURL(url(path), properties(FilterName="Calc MS Excel 2007 XML", Overwrite=True))


def save_text(document, path, delimiter, characters, quote_all=False, as_shown=True):
    options = f"{delimiter},34,{characters},1,,0,{str(quote_all).lower()},{str(as_shown).lower()},false"
    document.storeToURL(url(path), properties(FilterName="Text - txt - csv (StarCalc)", FilterOptions=options,
                                              Overwrite=True))


def main(folder, language):
    suite = Suite(folder, language)
    try:
        prefix = os.path.join(folder, "office-" + language)
        sheet = suite.open(os.path.join(folder, "sheet.fods"))
        save_book(sheet, prefix + ".xlsx")
        for name, delimiter in DELIMITERS.items():
            for encoding, characters in CHARACTER_SETS.items():
                save_text(sheet, f"{prefix}-{name}-{encoding}.csv", delimiter, characters)
        save_text(sheet, prefix + "-quoted.csv", 59, 76, quote_all=True)
        save_text(sheet, prefix + "-raw.csv", 59, 76, as_shown=False)
        if language.startswith("en"):  # what is no .xlsx, although its name says so
            for name, kind in (("xls", "MS Excel 97"), ("ods", "calc8")):
                sheet.storeToURL(url(folder, f"refused-{name}.xlsx"), properties(FilterName=kind, Overwrite=True))
        sheet.close(True)

        days = suite.open(os.path.join(folder, "small_days.fods"))
        save_book(days, os.path.join(folder, f"small_days-{language}.xlsx"))
        save_text(days, os.path.join(folder, f"doubtful-{language}.csv"), 59, 76)
        days.close(True)

        # token 5: no column formats; the suite reads numbers and dates in its own language
        text = suite.open(os.path.join(folder, "english.csv"), FilterName="Text - txt - csv (StarCalc)",
                          FilterOptions="44,34,76,1,,0,false,true")
        save_book(text, os.path.join(folder, f"wrong-{language}.xlsx"))
        text.close(True)
    finally:
        suite.close()


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2])
