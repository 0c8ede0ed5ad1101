"""The Debian package as cpack makes it from this build: what is in it, what lintian says of it,
that it comes out the same twice, and what its scripts do to files."""

import hashlib
import os
import pathlib
import re
import stat
import subprocess
import sys
import tempfile
import unittest

BUILD = pathlib.Path(sys.argv.pop(1))
SOURCE = pathlib.Path(__file__).parents[2]
SCRIPTS = SOURCE / "tools/package/deb"
PROGRAMS = ["nestcup", "nestcupd", "nestcup-sim"]


def run(*words, **options):
    done = subprocess.run(words, text=True, capture_output=True, check=False, **options)
    if done.returncode != 0:
        raise AssertionError(f"{words}: {done.returncode}\n{done.stdout}{done.stderr}")
    return done.stdout


def packed(folder):
    """The package, made anew in a folder."""
    run("cpack", "--config", str(BUILD / "CPackConfig.cmake"), "-B", str(folder), cwd=folder)
    found = list(pathlib.Path(folder).glob("*.deb"))
    assert len(found) == 1, found
    return found[0]


class Package(unittest.TestCase):
    @classmethod
    def setUpClass(cls):
        cls.folder = tempfile.TemporaryDirectory(prefix="nestcup-package-")
        cls.addClassCleanup(cls.folder.cleanup)
        cls.deb = packed(cls.folder.name)
        cls.root = pathlib.Path(cls.folder.name) / "unpacked"
        run("dpkg-deb", "--extract", str(cls.deb), str(cls.root))

    def field(self, name):
        return run("dpkg-deb", "--field", str(self.deb), name).strip()

    def test_lintian_has_nothing_to_say(self):
        said = subprocess.run(["lintian", "--allow-root", "--no-cfg", "--tag-display-limit", "0",
                               str(self.deb)], text=True, capture_output=True, check=False)
        self.assertEqual(said.stdout, "")
        self.assertEqual(said.returncode, 0, said.stderr)

    def test_fields(self):
        version = run(str(BUILD / "bin/nestcup"), "--version").split()[1]
        self.assertEqual(self.field("Version"), version)
        architecture = self.field("Architecture")
        self.assertEqual(self.deb.name, f"nestcup_{version}_{architecture}.deb")
        self.assertEqual(architecture, run("dpkg", "--print-architecture").strip())
        depends = self.field("Depends")
        for library in ("libc6", "libstdc++6", "libsqlite3-0", "libcairo2", "libserialport0"):
            self.assertRegex(depends, rf"(^|, ){re.escape(library)}\b")
        self.assertIn("systemd", depends)

    def test_programs_man_pages_and_completions(self):
        share = self.root / "usr/share"
        pages = run(str(BUILD / "bin/nestcup"), "man", "--list").split()
        self.assertGreater(len(pages), 30)
        for page in pages + ["nestcupd", "nestcup-sim"]:
            with self.subTest(page=page):
                text = run("zcat", str(share / f"man/man1/{page}.1.gz"))
                self.assertIn(".SH NAME", text)
        for program in PROGRAMS:
            with self.subTest(program=program):
                self.assertTrue(os.access(self.root / "usr/bin" / program, os.X_OK))
                for file in (f"bash-completion/completions/{program}",
                             f"zsh/vendor-completions/_{program}",
                             f"fish/vendor_completions.d/{program}.fish"):
                    self.assertGreater((share / file).stat().st_size, 100)

    def test_service_rules_and_user(self):
        self.assertTrue((self.root / "usr/lib/systemd/system/nestcupd@.service").is_file())
        self.assertTrue((self.root / "usr/lib/sysusers.d/nestcup.conf").is_file())
        self.assertTrue((self.root / "usr/lib/udev/rules.d/69-nestcup.rules").is_file())

    def test_licences_and_changes(self):
        documents = self.root / "usr/share/doc/nestcup"
        text = (documents / "copyright").read_text(encoding="ascii")
        stanzas = [stanza for stanza in text.split("\n\n") if stanza]
        self.assertTrue(stanzas[0].startswith("Format: https://www.debian.org/doc/packaging"))
        named = {re.search(r"^License: (\S+)", s, re.M).group(1) for s in stanzas if "Files:" in s
                 and s.startswith("Files:")}
        texts = {re.match(r"License: (\S+)\n .", s).group(1) for s in stanzas
                 if s.startswith("License:")}
        self.assertEqual(named, texts)
        changes = run("zcat", str(documents / "changelog.gz"))
        self.assertTrue(changes.startswith(f"nestcup ({self.field('Version')}) "))
        top = run("dpkg-parsechangelog", "-l", "-", "-S", "Changes", input=changes)
        entries = (SOURCE / "CHANGELOG.md").read_text(encoding="utf-8").split("\n## ")[1]
        self.assertEqual(len(re.findall(r"^ *\* ", top, re.M)), entries.count("\n- "))

    def test_documents_find_each_other(self):
        documents = self.root / "usr/share/doc/nestcup"
        names = {str(page.relative_to(documents)) for page in documents.rglob("*.md")}
        self.assertLess({"README.md", "daemon/BENCH.md", "daemon/SERVICE.md", "drivers/WIRING.md",
                         "core/analysis/METHOD.md"}, names)
        for name in names:
            text = (documents / name).read_text(encoding="utf-8")
            for link in re.findall(r"\]\(([^)#:]+\.(?:md|png))\)", text):
                with self.subTest(document=name, link=link):
                    self.assertTrue((documents / name).parent.joinpath(link).is_file())

    def test_owners_rights_and_times(self):
        listing = run("dpkg-deb", "--contents", str(self.deb), env={**os.environ, "TZ": "UTC"})
        times = set()
        for line in listing.splitlines():
            rights, owner, _, day, hour, name = line.split(maxsplit=5)
            with self.subTest(name=name):
                self.assertEqual(owner, "root/root")
                wanted = ("drwxr-xr-x" if rights[0] == "d" else "lrwxrwxrwx" if rights[0] == "l"
                          else "-rwxr-xr-x" if name.startswith("./usr/bin/") else "-rw-r--r--")
                self.assertEqual(rights, wanted)
            times.add((day, hour))
        self.assertEqual(len(times), 1, times)

    def test_no_path_of_the_build_is_in_it(self):
        for file in self.root.rglob("*"):
            if file.is_file() and not file.is_symlink():
                content = file.read_bytes()
                with self.subTest(file=file.name):
                    # The program itself would be in the message of assertNotIn.
                    for path in (SOURCE, BUILD):
                        self.assertEqual(content.count(os.fsencode(path)), 0, path)

    def test_packed_again_it_is_the_same(self):
        with tempfile.TemporaryDirectory() as elsewhere:
            again = packed(elsewhere)
            self.assertEqual(hashlib.sha256(again.read_bytes()).hexdigest(),
                             hashlib.sha256(self.deb.read_bytes()).hexdigest())

    def test_the_example_bench_is_right(self):
        bench = self.root / "usr/share/doc/nestcup/examples/bench.toml"
        self.assertIn("all is well", run(str(BUILD / "bin/nestcupd"), "--check", str(bench)))


class Scripts(unittest.TestCase):
    """The maintainer scripts on a root of their own (DPKG_ROOT), as dpkg calls them."""

    def setUp(self):
        folder = tempfile.TemporaryDirectory(prefix="nestcup-scripts-")
        self.addCleanup(folder.cleanup)
        self.root = pathlib.Path(folder.name)
        self.measurements = self.root / "var/lib/nestcup/bench-1/bench.db"
        for file in (self.measurements, self.root / "etc/nestcup/bench-1.toml",
                     self.root / "etc/credstore/nestcup-bench-1"):
            file.parent.mkdir(parents=True)
            file.write_text("x", encoding="ascii")
        wants = self.root / "etc/systemd/system/multi-user.target.wants"
        wants.mkdir(parents=True)
        self.enabled = wants / "nestcupd@bench-1.service"
        self.enabled.symlink_to("/lib/systemd/system/nestcupd@.service")

    def script(self, name, *words):
        return run(str(SCRIPTS / name), *words, env={**os.environ, "DPKG_ROOT": str(self.root)})

    def files(self):
        return {str(path.relative_to(self.root)) for path in self.root.rglob("*")
                if not path.is_dir() or path.is_symlink()}

    def test_removing_leaves_configuration_and_measurements(self):
        before = self.files()
        self.assertEqual(self.script("prerm", "remove"), "")
        self.assertEqual(self.script("postrm", "remove"), "")
        self.assertEqual(self.files(), before)

    def test_purging_leaves_measurements_and_says_so(self):
        said = self.script("postrm", "purge")
        self.assertEqual(self.files(),
                         {"var/lib/nestcup/bench-1/bench.db", "etc/credstore/nestcup-bench-1"})
        self.assertIn("/var/lib/nestcup (", said)
        self.assertIn("/etc/credstore/nestcup-bench-1", said)
        self.assertNotIn(str(self.root), said)

    def test_purging_says_nothing_where_nothing_was_measured(self):
        self.measurements.unlink()
        self.measurements.parent.rmdir()
        (self.root / "etc/credstore/nestcup-bench-1").unlink()
        self.assertEqual(self.script("postrm", "purge"), "")

    def test_upgrading_removes_nothing(self):
        before = self.files()
        for script, words in (("prerm", ("upgrade", "2")), ("postrm", ("upgrade", "2")),
                              ("postrm", ("disappear",)), ("postrm", ("abort-install",))):
            self.script(script, *words)
        self.assertEqual(self.files(), before)

    def test_scripts_are_plain_sh(self):
        for name in ("postinst", "prerm", "postrm"):
            run("sh", "-n", str(SCRIPTS / name))
            self.assertTrue((SCRIPTS / name).stat().st_mode & stat.S_IXUSR)


if __name__ == "__main__":
    unittest.main()
