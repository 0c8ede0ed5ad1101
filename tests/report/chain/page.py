"""Tables of a report's HTML page as a reader sees them."""

from html.parser import HTMLParser


class Cell:
    """One field: its text, and the quieter line below it. Lowered and raised text is marked as
    _{...} and ^{...}."""

    def __init__(self):
        self.text = ""
        self.below = ""

    def __repr__(self):
        return f"{self.text!r} / {self.below!r}"


class Table:
    def __init__(self):
        self.title = ""
        self.head = []
        self.rows = []


class Page(HTMLParser):
    """Collects tables, headings and figures of a page."""

    MARKS = {"sub": ("_{", "}"), "sup": ("^{", "}")}

    def __init__(self, text):
        super().__init__(convert_charrefs=True)
        self.tables = []
        self.figures = 0
        self._cell = None
        self._below = False
        self._caption = False
        self.feed(text)

    def handle_starttag(self, tag, attributes):
        names = dict(attributes)
        if tag == "table":
            self.tables.append(Table())
        elif tag == "caption":
            self._caption = True
        elif tag == "tr" and self.tables:
            self.tables[-1].rows.append([])
        elif tag in ("th", "td"):
            self._cell = Cell()
        elif tag == "span" and names.get("class") == "below":
            self._below = True
        elif tag == "figure":
            self.figures += 1
        elif tag in self.MARKS:
            self._put(self.MARKS[tag][0])

    def handle_endtag(self, tag):
        if tag in self.MARKS:
            self._put(self.MARKS[tag][1])
        elif tag == "span":
            self._below = False
        elif tag == "caption":
            self._caption = False
        elif tag in ("th", "td"):
            self.tables[-1].rows[-1].append(self._cell)
            self._cell = None
        elif tag == "thead":
            self.tables[-1].head = [cell.text for cell in self.tables[-1].rows.pop()]

    def handle_data(self, data):
        self._put(data)

    def _put(self, text):
        if self._caption:
            self.tables[-1].title += text
        elif self._cell is not None and self._below:
            self._cell.below += text
        elif self._cell is not None:
            self._cell.text += text

    def table(self, title):
        """The table whose title ends so, its number left out."""
        found = [table for table in self.tables if table.title.split(". ", 1)[1] == title]
        assert len(found) == 1, f"{len(found)} tables {title!r}"
        return found[0]
