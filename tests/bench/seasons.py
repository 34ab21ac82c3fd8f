"""The invented seasons, made once in the scratch folder."""

import pathlib
import subprocess

HERE = pathlib.Path(__file__).resolve().parent
ROOT = HERE.parents[1]


class Seasons:
    def __init__(self, scratch):
        self.folder = pathlib.Path(scratch)
        self.folder.mkdir(parents=True, exist_ok=True)
        self.maker = self.folder / "make_season"
        compile_to(self.maker, HERE / "make_season.cpp")
        self.rules = self.folder / "rules.json"
        self.rules.write_text('{ "sample_id": "{trial}-{line}-{rep}" }\n')

    def random(self, rows):
        """Samples in random order, 200 readings a line."""
        return self._made(f"random-{rows}.csv", [str(rows), str(max(1, rows // 200))])

    def field(self, rows):
        """Samples as people read them."""
        return self._made(f"field-{rows}.csv", [str(rows), str(max(1, rows // 200)), "field"])

    def _made(self, name, arguments):
        path = self.folder / name
        if not path.exists():
            with open(path, "wb") as out:
                subprocess.run([self.maker, *arguments], stdout=out, check=True)
        return path

    def split(self, source, rows_a_file):
        """The same rows in many files, in a folder; names sort as the rows."""
        folder = self.folder / f"{source.stem}-by-{rows_a_file}"
        if not folder.exists():
            folder.mkdir()
            with open(source, encoding="utf-8") as file:
                heading = file.readline()
                number, rows = 0, []
                for line in file:
                    rows.append(line)
                    if len(rows) == rows_a_file:
                        (folder / f"s{number:05d}.csv").write_text(heading + "".join(rows), encoding="utf-8")
                        number, rows = number + 1, []
                if rows:
                    (folder / f"s{number:05d}.csv").write_text(heading + "".join(rows), encoding="utf-8")
        return folder

    def messy(self, source):
        """Other spellings of one season: names and files."""
        text, made = None, []
        for name, spell in {
            "every cell quoted": lambda t: "".join('"' + line.replace(",", '","') + '"\n' for line in t.splitlines()).encode(),
            "decimal commas, semicolons": lambda t: t.replace(",", ";").replace(".", ",").encode(),
            "UTF-16": lambda t: t.encode("utf-16"),
            "Windows-1252": lambda t: t.replace("Bench A", "Meßplatz A").encode("cp1252"),
        }.items():
            path = self.folder / f"{source.stem}-{name.split()[0].lower()}-{name.split()[-1].lower()}.csv"
            if not path.exists():
                text = text or source.read_text(encoding="utf-8")
                path.write_bytes(spell(text))
            made.append((name, path))
        return made

    def long_ids(self, source):
        """The season with IDs as long as those of plot labels: 42 characters, which no short text holds."""
        path = self.folder / f"{source.stem}-long-ids.csv"
        if not path.exists():
            with open(source, encoding="utf-8") as file, open(path, "w", encoding="utf-8") as out:
                out.write(next(file))
                for line in file:
                    sample, rest = line.split(",", 1)
                    trial, entry, rep = sample.split("-")
                    out.write(f"2026_soybean_Ames_{trial}-entry_{entry}-plot_{rep},{rest}")
        return path

    def sample_list(self, source, unlisted):
        """A list of all samples of the season but the last `unlisted`."""
        path = self.folder / f"{source.stem}-list-{unlisted}.csv"
        if not path.exists():
            with open(source, encoding="utf-8") as file:
                next(file)
                ids = sorted({line.split(",", 1)[0] for line in file})
            ids = ids[: len(ids) - unlisted]
            path.write_text("sample,line\n" + "".join(f"{one},{one[4:10]}\n" for one in ids), encoding="utf-8")
        return path


def compile_to(target, *sources, options=()):
    if not target.exists():
        subprocess.run(["g++", "-O3", "-DNDEBUG", "-std=c++20", f"-I{ROOT / 'src'}", f"-I{ROOT / 'include'}", *map(str, sources),
                        "-o", str(target), "-pthread", *options], check=True)
