#!/usr/bin/env python3
"""The sample crate before programs of others: Info-ZIP, sha256sum, Python's zipfile and csv; and
archives of other writers before our reader.

outside_test.py PEER [unittest's words], where PEER is notebook_peer
"""

import datetime
import io
import json
import pathlib
import re
import stat
import subprocess
import sys
import tempfile
import unittest
import zipfile

from eln_format import ElnFormat, rows_of, told

PEER = None


def read_by_us(path):
    return subprocess.run([PEER, "read", path], capture_output=True, text=True, check=False)


class Pipe(io.RawIOBase):
    """A file that cannot go back: whoever writes a zip archive to it puts sizes after the bytes."""

    def __init__(self, path):
        super().__init__()
        self.path = path

    def writable(self):
        return True

    def write(self, data):
        with open(self.path, "ab") as file:
            return file.write(data)


class Written(unittest.TestCase):
    """What the sample is on disk, made once."""

    @classmethod
    def setUpClass(cls):
        cls.keep = tempfile.TemporaryDirectory()
        cls.folder = pathlib.Path(cls.keep.name)
        told(PEER, "write", cls.folder)
        cls.eln = cls.folder / "day.eln"

    @classmethod
    def tearDownClass(cls):
        cls.keep.cleanup()


class Archives(Written):
    def test_info_zip_finds_no_fault(self):
        self.assertIn("No errors detected", told("unzip", "-t", self.eln))

    def test_two_writings_have_the_same_bytes(self):
        self.assertEqual(self.eln.read_bytes(), (self.folder / "again.eln").read_bytes())
        digests = told("sha256sum", self.eln, self.folder / "again.eln").split()
        self.assertEqual(digests[0], digests[2])

    def test_entries_are_as_promised(self):
        with zipfile.ZipFile(self.eln) as archive:
            self.assertIsNone(archive.testzip())
            for entry in archive.infolist():
                self.assertEqual(entry.date_time, (2026, 11, 25, 8, 0, 0))
                self.assertEqual(entry.extra, b"", entry.filename)
                self.assertEqual(entry.comment, b"")
                self.assertEqual(entry.external_attr >> 16, stat.S_IFREG | 0o644)
                self.assertFalse(entry.flag_bits & 0x9, "neither locked nor sizes afterwards")
                wide = not entry.filename.isascii()
                self.assertEqual(bool(entry.flag_bits & 0x800), wide, entry.filename)
            names = archive.namelist()
        self.assertEqual(names[0], "day/ro-crate-metadata.json")
        self.assertIn("day/run-01a211b7-fc00/notes/\u00dcbersicht #1 50%.txt", names)
        # zipinfo is Info-ZIP's own reading of the directory.
        listed = told("zipinfo", "-1", self.eln).splitlines()
        self.assertEqual([name for name in listed if name.isascii()],
                         [name for name in names if name.isascii()])
        self.assertEqual(len(listed), len(names))

    def test_unpacked_it_is_the_folder(self):
        with tempfile.TemporaryDirectory() as place:
            with zipfile.ZipFile(self.eln) as archive:
                archive.extractall(place)
            told("diff", "-r", pathlib.Path(place) / "day", self.folder / "crate")

    def test_archives_of_others_are_read(self):
        path = self.folder / "python.zip"
        with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
            archive.writestr("run/", "")
            archive.writestr("run/a.txt", "1" * 5000)
            archive.writestr("run/\u00fc.txt", "2")
        piped = self.folder / "piped.zip"
        with zipfile.ZipFile(Pipe(piped), "w", zipfile.ZIP_DEFLATED) as archive:
            archive.writestr("run/a.txt", "1" * 5000)
        for archive, count in ((path, 2), (piped, 1)):
            result = read_by_us(archive)
            self.assertEqual(result.returncode, 0, result.stderr)
            self.assertEqual(len(result.stdout.splitlines()), count)
            self.assertIn("5000 ", result.stdout)

    def test_what_we_read_has_the_digests_of_sha256sum(self):
        result = read_by_us(self.eln)
        self.assertEqual(result.returncode, 0, result.stderr)
        with tempfile.TemporaryDirectory() as place:
            with zipfile.ZipFile(self.eln) as archive:
                archive.extractall(place)
            lines = result.stdout.splitlines()
            self.assertEqual(len(lines), 8)
            for line in lines:
                size, digest, name = line.split(" ", 2)
                path = pathlib.Path(place) / name
                self.assertEqual(path.stat().st_size, int(size))
                self.assertEqual(told("sha256sum", path).lstrip("\\").split()[0], digest)

    def test_hostile_archives_get_one_line(self):
        link = zipfile.ZipInfo("link")
        link.create_system = 3
        link.external_attr = (stat.S_IFLNK | 0o777) << 16
        for name, entry, words in (("slip", "../../x", "leads out"), ("root", "/x", "absolute"),
                                   ("link", link, "is a link")):
            path = self.folder / f"{name}.zip"
            with zipfile.ZipFile(path, "w") as archive:
                archive.writestr("good.txt", "1")
                archive.writestr(entry, "/etc/passwd")
            result = read_by_us(path)
            self.assertEqual(result.returncode, 65)
            self.assertEqual(result.stdout, "")
            self.assertRegex(result.stderr, rf"\A{re.escape(str(path))}: .*{words}.*\n\Z")


class ElnFile(ElnFormat, Written):
    def test_both_runs_are_in_it_with_their_numbers(self):
        nodes = {node["@id"]: node for node in self.graph()}
        runs = [key for key, node in nodes.items() if node["@type"] == "Dataset" and key != "./"]
        self.assertEqual(runs, ["run-01a211b7-fc00/", "run-01a211b8-0000/"])
        self.assertEqual(len(nodes[runs[0]]["variableMeasured"]), 5)

    def test_times_are_of_iso_8601(self):
        for node in self.graph():
            for key in ("datePublished", "dateCreated", "dateModified", "startTime", "endTime"):
                if key in node:
                    datetime.datetime.fromisoformat(node[key].replace("Z", "+00:00"))


class Tables(Written):
    def test_the_metadata_describe_the_table(self):
        folder = self.folder / "crate" / "run-01a211b7-fc00"
        metadata = json.loads((folder / "readings.csv-metadata.json").read_text("utf-8"))
        self.assertEqual(metadata["@context"], ["http://www.w3.org/ns/csvw", {"@language": "en"}])
        text = (folder / metadata["url"]).read_bytes().decode("utf-8")
        rows = rows_of(text, metadata)
        columns = metadata["tableSchema"]["columns"]
        self.assertEqual(rows[0], [column["titles"] for column in columns])
        self.assertEqual(len(rows), 241)
        keys = set()
        for row in rows[1:]:
            self.assertEqual(len(row), len(columns))
            for column, cell in zip(columns, row):
                self.assertRegex(column["name"], r"\A[A-Za-z0-9][A-Za-z0-9_]*\Z")
                if cell == column["null"]:
                    self.assertFalse(column["required"])
                else:
                    float(cell)
            keys.add(row[0])
        self.assertEqual(metadata["tableSchema"]["primaryKey"], columns[0]["name"])
        self.assertEqual(len(keys), 240)


if __name__ == "__main__":
    PEER = sys.argv.pop(1)
    unittest.main()
