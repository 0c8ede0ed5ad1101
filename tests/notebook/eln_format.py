"""What the ELN Consortium's specification asks of an .eln file, and what our readers of tables and
archives share."""

import csv
import json
import subprocess
import urllib.parse
import zipfile


def told(*words):
    return subprocess.run(words, check=True, capture_output=True, text=True).stdout


def rows_of(text, metadata):
    """The parser of the W3C's "Model for Tabular Data", section 8, as far as this dialect goes, on
    Python's csv."""
    dialect = metadata["dialect"]
    assert dialect["encoding"] == "utf-8"
    lines = text.split(dialect["lineTerminators"][0])
    assert lines.pop() == ""
    for line in lines[:dialect["skipRows"]]:
        assert line.startswith(dialect["commentPrefix"]), line
    return list(csv.reader(lines[dialect["skipRows"]:], delimiter=dialect["delimiter"],
                           quotechar=dialect["quoteChar"], strict=True))


class ElnFormat:
    """Tests for a unittest.TestCase that has the file as `eln`, a pathlib.Path."""

    def graph(self):
        name = f"{self.eln.stem}/ro-crate-metadata.json"
        with zipfile.ZipFile(self.eln) as archive:
            text = archive.read(name).decode("utf-8")
        return json.loads(text, object_pairs_hook=self.without_doubles)["@graph"]

    def without_doubles(self, pairs):
        self.assertEqual(len(dict(pairs)), len(pairs), pairs)
        return dict(pairs)

    def test_one_folder_and_nothing_beside_it(self):
        with zipfile.ZipFile(self.eln) as archive:
            names = archive.namelist()
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
        self.assertGreaterEqual(len(datasets), 2)
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
                    name = f"{self.eln.stem}/" + urllib.parse.unquote(node["@id"])
                    self.assertEqual(node["contentSize"], str(archive.getinfo(name).file_size))
                    self.assertEqual(node["name"], name.rsplit("/", 1)[1])

    def test_values_are_property_values_with_ids(self):
        nodes = {node["@id"]: node for node in self.graph()}
        measured = [reference for node in nodes.values()
                    for reference in node.get("variableMeasured", [])]
        self.assertGreaterEqual(len(measured), 5)
        for reference in measured:
            value = nodes[reference["@id"]]
            self.assertEqual(value["@type"], "PropertyValue")
            self.assertIsInstance(value["value"], (int, float))
            self.assertTrue(value["propertyID"] and value["name"])
