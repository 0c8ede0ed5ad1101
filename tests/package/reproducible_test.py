"""The package of the last commit, built twice from its archive without network, in folders of other
names, with another umask, language, time zone and number of jobs, and from nothing: the same bytes?

    reproducible_test.py FOLDER [WORD...]

Each WORD goes to cmake. Ends with a line that has both digests; exit code 0 where they are the
same, else 1."""

import hashlib
import os
import pathlib
import shutil
import subprocess
import sys
import time

TOOLS = pathlib.Path(__file__).parents[2] / "tools/package"
BUILDS = {
    "one": {"umask": 0o022, "LC_ALL": "C.UTF-8", "TZ": "UTC", "NESTCUP_JOBS": "2"},
    "another/with a longer name": {"umask": 0o077, "LC_ALL": "C", "TZ": "Pacific/Auckland",
                                   "NESTCUP_JOBS": "3"},
}


def built(archive, folder, surroundings, words):
    """The package that comes out, and the seconds that it took."""
    surroundings = dict(surroundings)
    umask = surroundings.pop("umask")
    begin = time.monotonic()
    folder.mkdir(parents=True)
    with open(folder / "build.log", "wb") as log:
        subprocess.run([str(TOOLS / "build"), str(archive), str(folder), *words], umask=umask,
                       env={**os.environ, "CCACHE_DISABLE": "1", **surroundings}, stdout=log,
                       stderr=subprocess.STDOUT, check=True)
    package, = folder.glob("*.deb")
    return package, time.monotonic() - begin


def digest(file):
    return hashlib.sha256(file.read_bytes()).hexdigest()


def main():
    folder = pathlib.Path(sys.argv[1]).resolve()
    shutil.rmtree(folder, ignore_errors=True)
    archives = [subprocess.run([str(TOOLS / "make-tarball"), str(folder / name)], text=True,
                               stdout=subprocess.PIPE, check=True).stdout.strip()
                for name in ("archive", "archive-again")]
    if digest(pathlib.Path(archives[0])) != digest(pathlib.Path(archives[1])):
        print("reproducible_test: failed: two archives of one commit differ")
        return 1
    digests = {}
    for name, surroundings in BUILDS.items():
        try:
            package, seconds = built(archives[0], folder / name, surroundings, sys.argv[2:])
        except subprocess.CalledProcessError as fault:
            print((folder / name / "build.log").read_text(errors="replace")[-3000:])
            print(f"reproducible_test: failed: {fault}")
            return 1
        digests[name] = digest(package)
        print(f"{package.name} in {name!r}: {digests[name]}, {seconds:.0f} s", flush=True)
        shutil.rmtree(folder / name / "build")
    same = len(set(digests.values())) == 1
    print(f"reproducible_test: {'the same' if same else 'failed: different'}: "
          f"{' '.join(digests.values())}")
    return 0 if same else 1


if __name__ == "__main__":
    sys.exit(main())
