#!/usr/bin/env python3
"""Holds the source tree to the rules of the house and prints file:line: message for each breach.

style_test.py ROOT         checks the tree under ROOT (a checkout or an unpacked tarball)
style_test.py --self-test  checks the checker: every wrong snippet must be reported, no good one
"""

import ast
import pathlib
import re
import sys

# Who may include whom. The longest prefix that fits a file counts.
FLOORS = {
    "core/base": ["core/base"],
    "core/analysis": ["core/base", "core/analysis"],
    "core/analysis/readings": ["core/base", "core/analysis/readings"],
    "core/analysis/calibration": ["core/base", "core/analysis/readings",
                                  "core/analysis/calibration"],
    "core/analysis/course": ["core/base", "core/analysis/readings", "core/analysis/course"],
    "core/analysis/rise": ["core/base", "core/analysis/readings", "core/analysis/course",
                           "core/analysis/rise"],
    "core/analysis/mixing": ["core/base", "core/analysis/readings", "core/analysis/course",
                             "core/analysis/mixing"],
    "core/matter": ["core/base", "core/matter"],
    "core/chemistry": ["core/base", "core/analysis", "core/matter", "core/sheet",
                       "core/chemistry"],
    "core/working": ["core/base", "core/matter", "core/sheet", "core/chemistry", "core/working"],
    "core/classroom": ["core/base", "core/analysis", "core/matter", "core/sheet",
                       "core/chemistry", "core/classroom"],
    "core/sheet": ["core/base", "core/matter", "core/sheet"],
    "core/record": ["core/base", "core/analysis", "core/matter", "core/chemistry", "core/sheet",
                    "core/store", "core/record"],
    "core/store": ["core/base", "core/store"],
    "core/pool": ["core/base", "core/analysis", "core/matter", "core/chemistry", "core/sheet",
                  "core/store", "core/record", "core/classroom", "core/pool"],
    "core/notebook": ["core/base", "core/analysis", "core/matter", "core/chemistry", "core/sheet",
                      "core/store", "core/record", "core/report", "core/notebook"],
    "core/report": ["core/base", "core/analysis", "core/matter", "core/sheet", "core/chemistry",
                    "core/working", "core/record", "core/report"],
    "core/report/words": ["core/base", "core/analysis", "core/matter", "core/sheet",
                          "core/chemistry", "core/working", "core/record", "core/report/words"],
    "core/report/drawing": ["core/base", "core/report/words", "core/report/drawing"],
    "core/report/document": ["core/base", "core/report/words", "core/report/document"],
    "core/report/charts": ["core/base", "core/analysis", "core/matter", "core/sheet",
                           "core/chemistry", "core/working", "core/record", "core/report/words",
                           "core/report/drawing", "core/report/charts"],
    "drivers": ["core/base", "core/sheet", "drivers"],
    "daemon/base": ["core", "daemon/base"],
    "daemon/control": ["core", "daemon/control"],
    "daemon/store": ["core", "daemon/base", "daemon/store"],
    "daemon/bench": ["core", "drivers", "daemon/base", "daemon/store", "daemon/bench"],
    "daemon/health": ["core", "daemon/base", "daemon/store", "daemon/bench", "daemon/health"],
    "daemon/live": ["core", "daemon/control", "daemon/live"],
    "daemon/api": ["core", "drivers", "daemon/base", "daemon/control", "daemon/store",
                   "daemon/bench", "daemon/health", "daemon/live", "daemon/api"],
    "daemon": ["core", "drivers", "daemon", "tools/cli"],
    # A simulated probe sends what its transducer makes of a temperature: the same functions.
    "sim": ["core/base", "core/sheet", "drivers/transducer", "sim", "tools/cli"],
    "tools": ["core", "drivers", "tools"],
    # A forecast rehearses its runs on the simulated bench.
    "tools/forecast": ["core", "tools", "sim"],
    "tests": ["core", "drivers", "daemon", "sim", "tools", "tests"],
}
TREES = ["core", "drivers", "daemon", "sim", "tools", "tests"]

MAX_COLUMNS = 100
MAX_FILE_LINES = 300
MAX_TEST_FILE_LINES = 400
MAX_FUNCTION_LINES = 60

CPP_SUFFIXES = (".hpp", ".cpp", ".hpp.in", ".cpp.in")
SCRIPT_SUFFIXES = (".py", ".sh", ".cmake", ".cmake.in", ".js", ".css", ".html")
DATA_SUFFIXES = (".toml", ".json", ".csv", ".service", ".rules")

# Numbers in, numbers out: what core/analysis must not even be able to do.
OUTSIDE_WORLD = re.compile(
    r"iostream|istream|ostream|fstream|print|cstdio|stdio\.h|thread|jthread|mutex|shared_mutex"
    r"|condition_variable|future|chrono|ctime|time\.h|filesystem|unistd\.h|fcntl\.h|poll\.h"
    r"|sys/.*|boost/asio.*|boost/beast.*|sqlite3\.h")
OUTSIDE_CALLS = re.compile(
    r"\bstd::(cout|cerr|clog|cin|chrono|thread|jthread|filesystem)\b|\bClock\b")
PRINTING = re.compile(
    r"\bstd::(cout|cerr|clog)\b|\bfmt::print(ln)?\b|\b(printf|fprintf|puts|fputs|putchar)\s*\(")
MACRO = re.compile(r"\s*#\s*define\s+(\w+)")
MACROS_OF_TESTS = {"CATCH_CONFIG_MAIN", "CATCH_CONFIG_RUNNER", "CATCH_CONFIG_ENABLE_BENCHMARKING"}
# Written in pieces, or this file would report itself.
LEFT_OVER = re.compile(r"\b(TO" r"DO|FIX" r"ME|XX" r"X|HA" r"CK)\b")
INCLUDE = re.compile(r'\s*#\s*include\s*(["<])([^">]+)[">]')


class Source:
    """One file: its name from the root, its text, and its text without comments and strings."""

    def __init__(self, name, data):
        self.name = name
        self.data = data
        self.text = data.decode("utf-8", errors="replace")
        self.lines = self.text.splitlines()
        self.is_cpp = name.endswith(CPP_SUFFIXES)
        self.is_script = (name.endswith(SCRIPT_SUFFIXES) or name.endswith("CMakeLists.txt")
                          or data.startswith(b"#!"))
        self.is_test = name.startswith("tests/")
        self.code = blank_out(self.text) if self.is_cpp else self.text

    def within(self, *folders):
        return any(self.name.startswith(folder + "/") for folder in folders)


TOKEN = re.compile(
    r'R"(?P<tag>[^()\\\s]{0,16})\(.*?\)(?P=tag)"'  # raw string
    r'|"(?:\\.|[^"\\\n])*"'                        # string
    r"|(?<![0-9A-Fa-f])'(?:\\.|[^'\\\n])+'"        # character, not a digit separator
    r"|//[^\n]*|/\*.*?\*/",                        # comments
    re.DOTALL)


def blank_out(text):
    """The text with comments, strings and characters as blanks, every line where it was."""
    return TOKEN.sub(lambda found: re.sub(r"[^\n]", " ", found.group()), text)


def includes(source):
    for number, line in enumerate(source.lines, 1):
        found = INCLUDE.match(line)
        if found:
            yield number, found.group(1), found.group(2)


DEFINITION = re.compile(r"^(?:struct|class|enum class) (\w+)(?: final)?(?: : [^;{]*)? \{",
                        re.MULTILINE)
NAMESPACE = re.compile(r"^namespace ([\w:]+) \{", re.MULTILINE)


def check_names(sources):
    """Two headers must not define the same name in the same namespace: the linker would take either
    for both, and say nothing."""
    known = {}
    for source in sources:
        if not source.name.endswith(".hpp") or source.is_test:
            continue
        namespace = NAMESPACE.search(source.code)
        for found in DEFINITION.finditer(source.code):
            name = (namespace.group(1) if namespace else "", found.group(1))
            number = source.code.count("\n", 0, found.start()) + 1
            if name in known:
                yield source.name, number, f"{found.group(1)} is defined in {known[name]}, too"
            known.setdefault(name, source.name)


def check_text(source):
    # Texts for people are in their languages.
    if not source.name.endswith(".md") and not source.within("core/report/texts"):
        for number, line in enumerate(source.data.split(b"\n"), 1):
            if any(byte > 126 or byte < 32 and byte not in (9, 13) for byte in line):
                yield number, "only ASCII in sources"
    for number, line in enumerate(source.data.split(b"\n"), 1):
        if b"\r" in line:
            yield number, "carriage return: lines end with LF alone"
        elif line.rstrip() != line:
            yield number, "blanks at the end of the line"
        if b"\t" in line:
            yield number, "tab: indent with blanks"
    if source.data and not source.data.endswith(b"\n"):
        yield len(source.lines), "the last line has no end"


def check_columns(source):
    if source.is_cpp or source.is_script or source.name.endswith(".toml"):
        for number, line in enumerate(source.lines, 1):
            if len(line) > MAX_COLUMNS:
                yield number, f"{len(line)} columns, at most {MAX_COLUMNS}"


def check_file_size(source):
    limit = MAX_TEST_FILE_LINES if source.is_test else MAX_FILE_LINES
    if (source.is_cpp or source.is_script) and len(source.lines) > limit:
        yield limit + 1, f"{len(source.lines)} lines, at most {limit}: divide the file"


# "Name(int a) : part_" of a constructor, as it stands before the brace of "part_{1}".
PART_OF_CONSTRUCTOR = re.compile(r"\)\s*(noexcept\s*)?:(?!:).*[\w>]$", re.DOTALL)


def kind_of_block(head, stack):
    """What the brace after this head opens: a function, a part of its head, a room for functions,
    or something else that no function begins in."""
    if "function" in stack or "other" in stack:
        return "other"
    if head.count("(") > head.count(")"):
        return "part"
    if "(" in head and not head.endswith(("=", "return")):
        return "part" if PART_OF_CONSTRUCTOR.search(head) else "function"
    rooms = r"\b(namespace|class|struct|union|enum|extern)\b"
    return "room" if re.search(rooms, head) else "other"


def functions(code):
    """(first line, last line) of every function body that is not within another one."""
    stack, begin = [], 0
    for found in re.finditer(r"[{};]|\b(?:public|private|protected)\s*:", code):
        token, head = found.group(), code[begin:found.start()]
        closed = None
        if token == "{":
            stack.append(kind_of_block(head.rstrip(), stack))
            if stack[-1] == "function":
                start = begin + len(head) - len(head.lstrip())
        elif token == "}" and stack:
            closed = stack.pop()
            if closed == "function":
                yield code.count("\n", 0, start) + 1, code.count("\n", 0, found.start()) + 1
        # A part's braces belong to the head that is still being read.
        if closed != "part" and "part" not in stack:
            begin = found.end()


def check_function_size(source):
    if source.is_cpp:
        # Preprocessor lines would run into the head of the function that follows.
        spans = functions(re.sub(r"(?m)^[ ]*#.*$", "", source.code))
    elif source.name.endswith(".py"):
        spans = [(node.lineno, node.end_lineno) for node in ast.walk(ast.parse(source.text))
                 if isinstance(node, (ast.FunctionDef, ast.AsyncFunctionDef))]
    else:
        return
    for first, last in spans:
        if last - first + 1 > MAX_FUNCTION_LINES:
            yield first, f"function of {last - first + 1} lines, at most {MAX_FUNCTION_LINES}"


def check_floors(source):
    if not source.is_cpp:
        return
    rooms = [room for room in FLOORS if source.within(room)]
    if not rooms:
        yield 1, "this room is not in the table of floors (tests/style): place it on purpose"
        return
    room = max(rooms, key=len)
    for number, quote, header in includes(source):
        ours = header.split("/")[0] in TREES and "/" in header
        if quote == '"' and not ours:
            yield number, f'"{header}": name our headers from the root, others in <>'
        elif ours and not any(header.startswith(below + "/") for below in FLOORS[room]):
            yield number, f"{room} must not include {header}: only {', '.join(FLOORS[room])}"


def check_analysis(source):
    if not source.is_cpp or not source.within("core/analysis"):
        return
    for number, _, header in includes(source):
        if OUTSIDE_WORLD.fullmatch(header):
            yield number, f"core/analysis has no port, clock, thread or file: not <{header}>"
    for number, line in enumerate(source.code.splitlines(), 1):
        if OUTSIDE_CALLS.search(line):
            yield number, "core/analysis has no port, clock, thread or file"


def check_printing(source):
    if source.is_cpp and source.within("core", "drivers"):
        for number, line in enumerate(source.code.splitlines(), 1):
            if PRINTING.search(line):
                yield number, "a library does not print: return the text or the Error"


def check_left_overs(source):
    for number, line in enumerate(source.lines, 1):
        if LEFT_OVER.search(line):
            yield number, "left-over note: do it or drop it"


def check_cpp_habits(source):
    if not source.is_cpp:
        return
    for number, line in enumerate(source.code.splitlines(), 1):
        if not source.is_test and re.search(r"\busing\s+namespace\b", line):
            yield number, "'using namespace' only in tests"
        macro = MACRO.match(line)
        if macro and not (source.is_test and macro.group(1) in MACROS_OF_TESTS):
            yield number, f"no macros: {macro.group(1)} can be a constant or a function"
    if ".hpp" in source.name and not re.search(r"(?m)^#pragma once$", source.text):
        yield 1, "a header needs '#pragma once'"
    first = source.lines[0] if source.lines else ""
    if not first.startswith(("//", "#include")):
        yield 1, "a source begins with what it is for, or with its first #include"


CHECKS = [check_text, check_columns, check_file_size, check_function_size, check_floors,
          check_analysis, check_printing, check_left_overs, check_cpp_habits]


def breaches(source):
    return sorted((number, message) for check in CHECKS for number, message in check(source))


def sources(root):
    """Every text file that people write: code, scripts, CMake, data of ours, pages."""
    names = [path for path in root.iterdir() if path.is_file()]
    for tree in TREES + [".ci"]:
        names += (root / tree).rglob("*")
    for path in sorted(names):
        name = path.relative_to(root).as_posix()
        if not path.is_file() or "__pycache__" in name:
            continue
        known = name.endswith(CPP_SUFFIXES + SCRIPT_SUFFIXES + DATA_SUFFIXES + (".md",))
        data = path.read_bytes()
        if known or path.name == "CMakeLists.txt" or data.startswith(b"#!"):
            yield Source(name, data)


def check_tree(root):
    seen = set()
    failures = 0
    whole = list(sources(root))
    for name, number, message in check_names(whole):
        print(f"{name}:{number}: {message}")
        failures += 1
    for source in whole:
        seen.add(source.name.split("/")[0])
        for number, message in breaches(source):
            print(f"{source.name}:{number}: {message}")
            failures += 1
    missing = [tree for tree in TREES if tree not in seen]
    if missing:
        print(f"{root}: nothing to check in {', '.join(missing)}; is this the root of the sources?")
    print(f"style: {failures} breaches")
    return failures == 0 and not missing


if __name__ == "__main__":
    if len(sys.argv) != 2:
        sys.exit(__doc__)
    if sys.argv[1] == "--self-test":
        from snippets import self_test
        sys.exit(0 if self_test(Source, breaches) else 1)
    sys.exit(0 if check_tree(pathlib.Path(sys.argv[1])) else 1)
