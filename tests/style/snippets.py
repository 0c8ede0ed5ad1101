"""Small sources that break one rule each, and some that only look as if: the checker's own test."""

HEAD = "// What it is for.\n"
HEADER = HEAD + "#pragma once\n"


def function_of(lines, head="int grow(int a)"):
    return head + " {\n" + "  ++a;\n" * (lines - 2) + "}\n"


# (file name, text, line that must be reported, part of the message)
WRONG = [
    ("core/base/a.cpp", HEAD + '#include "core/analysis/noise.hpp"\n', 2, "must not include"),
    ("core/analysis/a.cpp", HEAD + '#include "core/sheet/sheet_file.hpp"\n', 2, "must not include"),
    ("core/analysis/a.cpp", HEAD + '#include "drivers/line/port.hpp"\n', 2, "must not include"),
    ("core/sheet/a.cpp", HEAD + '#include "core/analysis/noise.hpp"\n', 2, "must not include"),
    ("core/store/a.cpp", HEAD + '#include "core/record/record.hpp"\n', 2, "must not include"),
    ("core/report/a.cpp", HEAD + '#include "core/store/store.hpp"\n', 2, "must not include"),
    ("core/record/a.cpp", HEAD + '#include "daemon/bench.hpp"\n', 2, "must not include"),
    ("drivers/a.cpp", HEAD + '#include "core/analysis/noise.hpp"\n', 2, "must not include"),
    ("drivers/a.cpp", HEAD + "#include <sim/bench.hpp>\n", 2, "must not include"),
    ("daemon/a.cpp", HEAD + '#include "sim/bench.hpp"\n', 2, "must not include"),
    ("daemon/store/a.cpp", HEAD + '#include "daemon/bench/bench.hpp"\n', 2, "must not include"),
    ("core/analysis/course/a.cpp", HEAD + '#include "core/analysis/mixing/candidate.hpp"\n', 2,
     "must not include"),
    ("daemon/a.cpp", HEAD + '#include "tools/client/client.hpp"\n', 2, "must not include"),
    ("sim/a.cpp", HEAD + '#include "drivers/protocol/text.hpp"\n', 2, "must not include"),
    ("tools/a.cpp", HEAD + '#include "daemon/control/router.hpp"\n', 2, "must not include"),
    ("tools/a.cpp", HEAD + '#include "sim/bench.hpp"\n', 2, "must not include"),
    ("core/a.cpp", HEAD, 1, "table of floors"),
    ("core/other/a.cpp", HEAD, 1, "table of floors"),
    ("drivers/a.cpp", HEAD + '#include "port.hpp"\n', 2, "from the root"),
    ("daemon/a.cpp", HEAD + "\n" * 300, 301, "301 lines"),
    ("tests/a.cpp", HEAD + "\n" * 400, 401, "401 lines"),
    ("daemon/a.cpp", HEAD + function_of(61), 2, "function of 61 lines"),
    ("daemon/a.cpp", HEAD + "namespace n {\nnamespace {\n" + function_of(70) + "}\n}\n", 4,
     "function of 70"),
    ("daemon/a.hpp", HEADER + "class [[nodiscard]] A {\n public:\n"
     + function_of(61, "  int f(int a) const") + "};\n", 5, "function of 61"),
    ("daemon/a.cpp", HEAD + function_of(61, "A::A(int a)\n    : b_(a), c_{1}, d_{2}"), 2,
     "function of 62"),
    ("daemon/a.cpp", HEAD + function_of(61, "A::A() : b_([] { g(1); h(2); })"), 2, "of 61"),
    ("daemon/a.cpp", HEAD + function_of(61, "A::A(int a) : b_{a}, c_(1)"), 2, "function of 61"),
    ("daemon/a.cpp", HEAD + "int f() {\n  const char* a = \"}\";  // }\n  char b = '}';\n"
     + "  g(R\"(}\n)\");\n" + "  if (b) {\n  }\n" * 30 + "}\n", 2, "function of 66"),
    ("tests/a.cpp", HEAD + function_of(61, 'TEST_CASE("long")'), 2, "function of 61"),
    ("tests/a.py", "def f(a):\n" + "    a += 1\n" * 60, 1, "function of 61"),
    ("core/base/a.cpp", HEAD + "// caf\u00e9\n", 2, "ASCII"),
    ("tests/CMakeLists.txt", "# caf\u00e9\n", 1, "ASCII"),
    ("tests/traces/a.toml", "a = 1  # \u00b0C\n", 1, "ASCII"),
    ("tools/run", "#!/bin/bash\n\techo\n", 2, "tab"),
    ("core/base/a.cpp", HEAD + "int a;  \n", 2, "end of the line"),
    ("core/base/a.cpp", HEAD + "int a;\r\n", 2, "carriage return"),
    ("core/base/a.cpp", HEAD + "int a;", 2, "no end"),
    ("README.md", "text \n", 1, "end of the line"),
    ("core/base/a.cpp", HEAD + "//" + "x" * 99 + "\n", 2, "101 columns"),
    ("CMakeLists.txt", "#" + "x" * 100 + "\n", 1, "101 columns"),
    ("core/base/a.cpp", HEAD + "using namespace std;\n", 2, "using namespace"),
    ("core/base/a.hpp", HEADER + "  using  namespace std;\n", 3, "using namespace"),
    ("core/base/a.hpp", HEAD + "int a();\n", 1, "#pragma once"),
    ("core/base/a.cpp", HEAD + "#define LIMIT 3\n", 2, "no macros: LIMIT"),
    ("tests/a.cpp", HEAD + "# define LIMIT(a) 3\n", 2, "no macros: LIMIT"),
    ("core/base/a.cpp", "int a;\n", 1, "begins with"),
    ("core/base/a.cpp", "", 1, "begins with"),
    ("core/base/a.cpp", HEAD + "// TO" "DO later\n", 2, "left-over"),
    ("tools/run", "#!/bin/bash\n# FIX" "ME\n", 2, "left-over"),
    ("core/base/a.cpp", HEAD + "int f() { std::cout << 1; }\n", 2, "does not print"),
    ("drivers/a.cpp", HEAD + "int f() { return std::printf(\"a\"); }\n", 2, "does not print"),
    ("drivers/a.cpp", HEAD + "int f() { fmt::print(\"a\"); }\n", 2, "does not print"),
] + [("core/analysis/a.cpp", f"{HEAD}#include <{header}>\n", 2, "no port, clock")
     for header in ("iostream", "cstdio", "fstream", "thread", "mutex", "chrono", "filesystem",
                    "sys/socket.h", "unistd.h", "boost/asio/io_context.hpp")] + [
    ("core/analysis/a.cpp", HEAD + "int f(const Clock& clock);\n", 2, "no port"),
    ("core/analysis/a.cpp", HEAD + "auto t = std::chrono::steady_clock::now();\n", 2, "no port"),
]

# (file name, text) without any breach
RIGHT = [
    ("core/analysis/a.cpp", HEAD + '#include "core/base/reading.hpp"\n#include <cmath>\n'),
    ("core/analysis/a.cpp", HEAD + "// std::cout and printf( in a comment\n"),
    ("core/base/a.cpp", HEAD + 'auto a = "using namespace std::cout";\n'),
    ("core/base/a.cpp", HEAD + "int a = snprintf(nullptr, 0, b);\n"),
    ("core/base/a.cpp", HEAD + "long a = 1'000'000; char b = '\"'; int f() { return 'x'; }\n"),
    ("daemon/a.cpp", HEAD + "\n" * 299),
    ("tests/a.cpp", HEAD + "\n" * 399),
    ("daemon/a.cpp", HEAD + function_of(60) + "\n" + function_of(60)),
    ("daemon/a.cpp", HEAD + "constexpr int table[] = {\n" + "  1,\n" * 100 + "};\n"),
    ("daemon/a.cpp", HEAD + "struct A {\n" + "  int f() { return 1; }\n" * 100 + "};\n"),
    ("daemon/a.cpp", '#include "daemon/a.hpp"\n\n#include "core/store/store.hpp"\n'),
    ("tests/a.cpp", HEAD + "#define CATCH_CONFIG_MAIN\nusing namespace nestcup;\n"),
    ("tests/a.cpp", HEAD + '#include "sim/bench.hpp"\n#include "daemon/bench.hpp"\n'),
    ("tools/a.cpp", HEAD + 'auto a = "folder-XXXXXX";\n'),
    ("README.md", "21 \u00b0C \u00b1 0.1 K\n" + "word " * 40 + "end\n"),
]


def self_test(source_type, breaches):
    """True when every wrong snippet is reported at its line and no right one is reported."""
    failures = []
    for name, text, line, part in WRONG:
        found = breaches(source_type(name, text.encode("utf-8")))
        if not any(number == line and part in message for number, message in found):
            failures.append(f"{name}:{line}: '{part}' unseen, only {found}: {text!r:.90}")
    for name, text in RIGHT:
        found = breaches(source_type(name, text.encode("utf-8")))
        if found:
            failures.append(f"{name}: wrongly reported {found}: {text!r:.90}")
    for failure in failures:
        print(failure)
    print(f"style self-test: {len(WRONG) + len(RIGHT)} snippets, {len(failures)} failures")
    return not failures
