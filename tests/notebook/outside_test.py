#!/usr/bin/env python3
"""The sample crate before programs of others: Info-ZIP, sha256sum, Python's zipfile and csv; and
archives of other writers before our reader.

outside_test.py PEER [unittest's words], where PEER is notebook_peer
"""

import csv
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
import urllib.parse
import zipfile

PEER = None


def told(*words):
    return subprocess.run(words, check=True, capture_output=True, text=True).stdout


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

    def graph(self):
        text = zipfile.ZipFile(self.eln).read("day/ro-crate-metadata.json").decode("utf-8")
        return json.loads(text, object_pairs_hook=self.without_doubles)["@graph"]

    def without_doubles(self, pairs):
        self.assertEqual(len(dict(pairs)), len(pairs), pairs)
        return dict(pairs)


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


class ElnFormat(Written):
    """What the ELN Consortium's specification asks of an .eln file."""

    def test_one_folder_and_nothing_beside_it(self):
        names = zipfile.ZipFile(self.eln).namelist()
        self.assertEqual({name.split("/")[0] for name in names}, {self.eln.stem})
        for name in names:
            self.assertFalse(name.startswith("/") or ".." in name.split("/"), name)

    def test_ids_are_unique_and_nothing_is_empty(self):
        graph = self.graph()
        ids = [node["@id"] for node in graph]
        self.assertEqual(len(set(ids)), len(ids))

        def check(value, where):
            self.assertNotIn(value, ("", [], {}, None), where)
            for key, part in (value.items() if isinstance(value, dict) else
                              enumerate(value) if isinstance(value, list) else ()):
                check(part, f"{where}.{key}")
        for node in graph:
            check(node, node["@id"])

    def test_the_root_lists_every_dataset(self):
        nodes = {node["@id"]: node for node in self.graph()}
        parts = {part["@id"] for part in nodes["./"]["hasPart"]}
        datasets = {key for key, node in nodes.items() if node["@type"] == "Dataset"} - {"./"}
        self.assertEqual(len(datasets), 2)
        self.assertLessEqual(datasets, parts)

    def test_the_descriptor_names_who_publishes(self):
        nodes = {node["@id"]: node for node in self.graph()}
        publisher = nodes[nodes["ro-crate-metadata.json"]["sdPublisher"]["@id"]]
        self.assertEqual(publisher["@type"], "Organization")
        self.assertTrue(publisher["name"])

    def test_datasets_and_files_say_what_they_should(self):
        with zipfile.ZipFile(self.eln) as archive:
            for node in self.graph():
                if node["@type"] == "Dataset":
                    self.assertTrue(node["name"] and node["author"])
                    self.assertIsInstance(node.get("keywords", ""), str)
                if node["@type"] == "File":
                    self.assertRegex(node["encodingFormat"], r"\A[a-z]+/[a-z0-9.+-]+\Z")
                    name = "day/" + urllib.parse.unquote(node["@id"])
                    self.assertEqual(node["contentSize"], str(archive.getinfo(name).file_size))
                    self.assertEqual(node["name"], name.rsplit("/", 1)[1])

    def test_values_are_property_values_with_ids(self):
        nodes = {node["@id"]: node for node in self.graph()}
        values = nodes["run-01a211b7-fc00/"]["variableMeasured"]
        self.assertEqual(len(values), 5)
        for reference in values:
            value = nodes[reference["@id"]]
            self.assertEqual(value["@type"], "PropertyValue")
            self.assertIsInstance(value["value"], (int, float))
            self.assertTrue(value["propertyID"] and value["name"])


class Tables(Written):
    def rows_of(self, text, metadata):
        """The parser of the W3C's "Model for Tabular Data", section 8, as far as this dialect
        goes, on Python's csv."""
        dialect = metadata["dialect"]
        self.assertEqual(dialect["encoding"], "utf-8")
        lines = text.split(dialect["lineTerminators"][0])
        self.assertEqual(lines.pop(), "")
        for line in lines[:dialect["skipRows"]]:
            self.assertTrue(line.startswith(dialect["commentPrefix"]))
        return list(csv.reader(lines[dialect["skipRows"]:], delimiter=dialect["delimiter"],
                               quotechar=dialect["quoteChar"], strict=True))

    def test_the_metadata_describe_the_table(self):
        folder = self.folder / "crate" / "run-01a211b7-fc00"
        metadata = json.loads((folder / "readings.csv-metadata.json").read_text("utf-8"))
        self.assertEqual(metadata["@context"], ["http://www.w3.org/ns/csvw", {"@language": "en"}])
        text = (folder / metadata["url"]).read_bytes().decode("utf-8")
        rows = self.rows_of(text, metadata)
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


class Dates(Written):
    def test_times_are_of_iso_8601(self):
        for node in self.graph():
            for key in ("datePublished", "dateCreated", "dateModified", "startTime", "endTime"):
                if key in node:
                    datetime.datetime.fromisoformat(node[key].replace("Z", "+00:00"))


if __name__ == "__main__":
    PEER = sys.argv.pop(1)
    unittest.main()
