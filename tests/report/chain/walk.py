"""Walks a report from its results back to what was measured: whatever it states must follow, with
a pencil and the page alone, from numbers that stand above it."""

import math
import re

from page import Page
from shown import Shown, is_shown, reckoned

FORMULA = "quantity and formula"
# What is printed is rounded; a number must agree with what its formula gives to within the rounding
# of all that stands in it.
SLACK = 1.0 + 1e-6


class Walk:
    def __init__(self, text):
        self.page = Page(text)
        self.above = set()   # every number that stands above
        self.symbols = {}    # the newest number of a symbol, by symbol
        self.steps = 0       # numbers that were followed
        self.worst = 0.0     # largest distance over what rounding allows

    def all(self):
        for table in self.page.tables:
            if table.head and table.head[0] == FORMULA:
                self.working(table)
            self.note_numbers(table)
        self.rises()
        self.root_of_squares(self.page.table(
            "Where the uncertainty of each rise comes from, mK")) if self.has(
                "Where the uncertainty of each rise comes from, mK") else None
        self.uncertainties()
        self.results()
        self.comparison()
        return self

    def has(self, title):
        return any(table.title.endswith(". " + title) for table in self.page.tables)

    def note_numbers(self, table):
        for row in table.rows:
            for cell in row:
                if is_shown(cell.text):
                    self.above.add(cell.text)

    def agree(self, shown, value, off, what):
        allowed = (shown.half_unit + off) * SLACK
        apart = abs(shown.value - value)
        assert apart <= allowed, f"{what}: {shown.text} stands there, {value} follows (+- {off})"
        self.worst = max(self.worst, apart / allowed)
        self.steps += 1

    def working(self, table):
        """Each line of the working: the numbers put in, and those of the other runs."""
        runs = range(2, len(table.head) - 1)
        known = [dict(self.symbols) for _ in runs]
        for title, numbers, *rest in table.rows:
            symbol, _, formula = title.below.partition(" = ")
            for column, _ in enumerate(runs):
                shown = rest[column].text
                what = f"{table.title}, {title.text}, {table.head[2 + column]}"
                if formula:
                    expression = self.put_in(formula, known[column], what)
                    if column == 0:
                        assert expression == numbers.text, (
                            f"{what}: {numbers.text!r} is not {formula!r} with numbers put in "
                            f"({expression!r})")
                    self.agree(Shown(shown), *reckoned(expression), what)
                else:
                    assert numbers.text, f"{what}: given, but not by whom"
                known[column][symbol] = shown
        self.remember(table, known)

    def put_in(self, formula, known, what):
        """The formula with its symbols' numbers, as the page writes it."""
        names = sorted(known, key=len, reverse=True)
        pattern = "|".join(re.escape(name) for name in names)

        def number(found):
            text = known[found.group()]
            before = formula[:found.start()].rstrip()
            first = not before or before.endswith("(")
            return text if first or not text.startswith("\N{MINUS SIGN}") else f"({text})"

        put = re.sub(pattern, number, formula) if names else formula
        left = re.findall(r"[^\W\d_]+", put.replace("min(", "("))
        assert not left, f"{what}: {left} of {formula!r} does not stand above"
        return put

    def remember(self, table, known):
        """What later tables may use: numbers of a run by its number, those of a trial by its name
        (the last of its tables has its result)."""
        trial = re.search(r"(?:Working|Result) of (.*)$", table.title)
        for column, values in enumerate(known):
            run = re.fullmatch(r"run (\d+)", table.head[2 + column])
            for row in table.rows:
                symbol = row[0].below.partition(" = ")[0]
                text = values[symbol]
                if run:
                    self.symbols[f"{symbol}^{{({run.group(1)})}}"] = text
                else:
                    self.symbols[symbol] = text
                if trial:
                    self.symbols[f"{symbol}({trial.group(1)})"] = text

    def root_of_squares(self, table):
        for column in range(1, len(table.head)):
            shares = [Shown(row[column].text) for row in table.rows[:-1] if row[column].text]
            stated = Shown(table.rows[-1][column].text)
            root = math.sqrt(sum(share.value ** 2 for share in shares))
            low = math.sqrt(sum(max(share.value - share.half_unit, 0.0) ** 2 for share in shares))
            high = math.sqrt(sum((share.value + share.half_unit) ** 2 for share in shares))
            # Shares below a hundredth of u are not shown: of all sources together they bring in
            # less than one part in a thousand.
            off = max(high - root, root - low) + 1e-3 * stated.value
            self.agree(stated, root, off, f"{table.title}, {table.head[column]}")

    def rises(self):
        if not self.has("Corrected temperature rises"):
            return
        for row in self.page.table("Corrected temperature rises").rows:
            name, cup, _, rise, _, final, *_ = [cell.text for cell in row]
            if rise:
                cup, rise, final = Shown(cup), Shown(rise), Shown(final)
                self.agree(final, cup.value + rise.value, cup.half_unit + rise.half_unit,
                           f"final temperature of {name}")

    def tables_of_sources(self):
        title = ". Where the uncertainties come from"
        return [table for table in self.page.tables
                if table.title.endswith((title, title + ", continued"))]

    def uncertainties(self):
        for table in self.tables_of_sources():
            self.root_of_squares(table)

    def last_number(self, title):
        return Shown(self.page.table(title).rows[-1][2].text)

    def step(self, name):
        """The number that the working came to for a result."""
        if name == "calorimeter constant":
            return Shown(self.symbols["K"])
        if name == "cycle":
            return self.last_number("Sum of the cycle")
        if self.has(f"Result of {name}"):
            return self.last_number(f"Result of {name}")
        return self.last_number(f"Working of {name}")

    def results(self):
        """Each result is a number of the working, rounded, and its u that of the sources."""
        together = [cell.text for sources in self.tables_of_sources()
                    for cell in sources.rows[-1][1:]]
        rows = self.page.table("What came out").rows
        assert len(rows) == len(together)
        for (name, value, u, _), of_sources in zip(rows, together):
            step = self.step(name.text)
            self.agree(Shown(value.text), step.value, step.half_unit, f"result {name.text}")
            assert u.text == of_sources, f"u of {name.text}: {u.text} and {of_sources}"
            # Followed with the page's numbers, the result is the same for every purpose.
            if u.text:
                assert step.half_unit <= 0.1 * Shown(u.text).value, name.text

    def comparison(self):
        if not self.has("Measured beside accepted, kJ/mol"):
            return
        for row in self.page.table("Measured beside accepted, kJ/mol").rows:
            name = row[0].text
            if row[0].below.startswith("the trial "):
                continue
            title = "The cycle beside its accepted value" if name == "cycle" else (
                f"{name} beside its accepted value")
            steps = {line[0].below.partition(" = ")[0]: Shown(line[2].text)
                     for line in self.page.table(title).rows}
            for column, symbol in ((3, "\N{GREEK CAPITAL LETTER DELTA}H_{acc}"), (5, "d"),
                                   (6, "u(d)"), (7, "d_{rel}"), (8, "E_{n}")):
                if row[column].text:
                    step = steps[symbol]
                    self.agree(Shown(row[column].text), step.value, step.half_unit,
                               f"{name}, {symbol}")
