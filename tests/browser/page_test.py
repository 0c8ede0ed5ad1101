"""A page of the program in a real browser: valid HTML, accessible, nothing cut off, on a desktop, a
phone and A4 paper.

page_test.py NESTCUP AXE.js: makes reports of invented days and checks them.
page_test.py --page FILE AXE.js: checks one that is there."""

import html
import json
import pathlib
import re
import subprocess
import sys
import tempfile

HERE = pathlib.Path(__file__).parent
SHEETS = HERE.parent / "report" / "chain" / "sheets"
DESKTOP = (1280, 900)
PHONE = (390, 844)
A4_POINTS = (595.3, 841.9)


def browser(*words):
    with tempfile.TemporaryDirectory() as profile:
        return subprocess.run(
            ["chromium", "--headless=new", "--no-sandbox", "--disable-gpu",
             "--disable-dev-shm-usage",
             "--hide-scrollbars", f"--user-data-dir={profile}", *words],
            check=True, capture_output=True, text=True, timeout=180).stdout


def check_valid(path):
    """By HTML Tidy: no error, no warning."""
    told = subprocess.run(["tidy", "-errors", "-quiet", "-utf8", path], capture_output=True,
                          text=True, check=False)
    lines = [line for line in told.stderr.splitlines() if line.strip()]
    assert not lines, "\n".join(lines[:20])


def inspected(path, axe, size, folder):
    """What inspect.js finds in a window of this size."""
    text = path.read_text(encoding="utf-8")
    # Within a script, "</script" of the library's own text would end it.
    scripts = "".join(f'<script src="{name.as_uri()}"></script>'
                      for name in (axe, HERE / "inspect.js"))
    probed = folder / "probed.html"
    probed.write_text(text.replace("</head>", scripts + "</head>"), encoding="utf-8")
    page = browser("--dump-dom", "--virtual-time-budget=20000", "--allow-file-access-from-files",
                   f"--window-size={size[0]},{size[1]}", probed.as_uri())
    found = re.search(r'id="found">(.*?)</script>', page, re.DOTALL)
    assert found, "the page under test gave no answer"
    return json.loads(found.group(1))


def check_window(path, axe, size, folder):
    found = inspected(path, axe, size, folder)
    assert not found["violations"], json.dumps(found["violations"], indent=1)
    assert found["passes"] > 10, found
    assert not found["broken"], found["broken"]
    # On a phone a wide table scrolls within its own region; the page itself never does.
    allowed = [] if size == DESKTOP else [
        line for line in found["overflowing"] if line.endswith("px to scroll")]
    assert found["overflowing"] == allowed, found["overflowing"]


def check_paper(path, folder):
    """On A4 no word lies beyond the page's edges, and there is text on every page."""
    pdf = folder / "page.pdf"
    browser("--no-pdf-header-footer", f"--print-to-pdf={pdf}", path.as_uri())
    boxes = subprocess.run(["pdftotext", "-bbox", pdf, "-"], check=True, capture_output=True,
                           text=True).stdout
    pages = re.findall(r'<page width="([\d.]+)" height="([\d.]+)">(.*?)</page>', boxes, re.DOTALL)
    assert pages
    for number, (width, height, words) in enumerate(pages, 1):
        assert abs(float(width) - A4_POINTS[0]) < 1.5 and abs(float(height) - A4_POINTS[1]) < 1.5
        places = re.findall(
            r'xMin="([\d.-]+)" yMin="([\d.-]+)" xMax="([\d.-]+)" yMax="([\d.-]+)">(.*?)<', words)
        assert places, f"page {number} is empty"
        for left, top, right, bottom, word in places:
            inside = (float(left) > 20 and float(top) > 20 and float(right) < float(width) - 20 and
                      float(bottom) < float(height) - 20)
            assert inside, f"page {number}: {html.unescape(word)!r} is at the edge or beyond"
    return len(pages)


def check(path, axe, folder):
    check_valid(path)
    for size in (DESKTOP, PHONE):
        check_window(path, axe, size, folder)
    pages = check_paper(path, folder)
    print(f"{path.name}: valid, accessible, nothing cut off; {pages} pages of A4")


def main():
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        if sys.argv[1] == "--page":
            check(pathlib.Path(sys.argv[2]).resolve(), pathlib.Path(sys.argv[3]).resolve(), folder)
            return
        axe = pathlib.Path(sys.argv[2]).resolve()
        for sheet in sorted(SHEETS.glob("*.toml")):
            for words in ((), ("--language", "de"), ("--without-results",)):
                path = folder / f"{sheet.stem}{''.join(words)}.html"
                subprocess.run([sys.argv[1], "report", "--sheet", sheet, "--out", path, *words],
                               check=True, stdout=subprocess.DEVNULL)
                check(path, axe, folder)


if __name__ == "__main__":
    main()
