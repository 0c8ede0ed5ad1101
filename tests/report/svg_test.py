#!/usr/bin/env python3
"""The example charts as another XML reader sees them (Python's own, xml.etree).

svg_test.py PROGRAM   runs PROGRAM's [.pictures] and reads what it wrote
"""

import os
import pathlib
import subprocess
import sys
import tempfile
import unittest
import xml.etree.ElementTree as ElementTree

PROGRAM = sys.argv.pop(1)
SVG = "{http://www.w3.org/2000/svg}"
LINK = "{http://www.w3.org/1999/xlink}href"
LANGUAGE = "{http://www.w3.org/XML/1998/namespace}lang"


class ExampleCharts(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.folder = tempfile.TemporaryDirectory(prefix="nestcup-charts-")
        subprocess.run([PROGRAM, "[.pictures]"], check=True, stdout=subprocess.DEVNULL,
                       env={**os.environ, "NESTCUP_PICTURES": cls.folder.name})
        paths = sorted(pathlib.Path(cls.folder.name).glob("*.svg"))
        cls.roots = {path.stem: ElementTree.parse(path).getroot() for path in paths}

    @classmethod
    def tearDownClass(cls):
        cls.folder.cleanup()

    def test_there_are_charts_in_both_languages(self):
        languages = {root.get(LANGUAGE) for root in self.roots.values()}
        self.assertEqual(languages, {"en", "de"})
        for stem, root in self.roots.items():
            self.assertTrue(stem.endswith("-" + root.get("lang")), stem)

    def test_title_and_description_come_first_and_name_the_drawing(self):
        for stem, root in self.roots.items():
            title, description = root[0], root[1]
            self.assertEqual((title.tag, description.tag), (SVG + "title", SVG + "desc"), stem)
            self.assertTrue(title.text.strip() and description.text.strip(), stem)
            self.assertEqual(root.get("aria-labelledby"),
                             title.get("id") + " " + description.get("id"))
            self.assertEqual(root.get("role"), "img")

    def test_no_id_stands_twice_in_a_page_with_all_of_them(self):
        ids = [element.get("id") for root in self.roots.values() for element in root.iter()
               if element.get("id")]
        self.assertGreater(len(ids), 100)
        self.assertEqual(len(ids), len(set(ids)))

    def test_what_is_referred_to_is_there_and_nothing_is_fetched(self):
        for stem, root in self.roots.items():
            ids = {element.get("id") for element in root.iter()}
            for element in root.iter():
                target = element.get(LINK)
                if target is not None:
                    self.assertTrue(target.startswith("#") and target[1:] in ids, (stem, target))

    def test_texts_are_drawn_and_need_no_font(self):
        for stem, root in self.roots.items():
            self.assertEqual(list(root.iter(SVG + "text")), [], stem)
            self.assertGreater(len(list(root.iter(SVG + "path"))), 10, stem)


if __name__ == "__main__":
    unittest.main()
