#include "tools/cli/output.hpp"

#include <sstream>

#include "core/base/exit_code.hpp"
#include "tests/catch.hpp"
#include "tools/cli/text_layout.hpp"

using namespace nestcup;
using namespace nestcup::cli;

TEST_CASE("a table is aligned, also with characters beyond ASCII, and leaves no blanks at ends") {
  Table table({{"run"}, {"rise / K", Align::right}, {"note"}});
  table.add_row({"oxide 1", "6.21 \xC2\xB1 0.01", ""});
  table.add_row({"w", "-4.1", "short"});
  CHECK(table.text(false) ==
        "run         rise / K  note\n"
        "oxide 1  6.21 \xC2\xB1 0.01\n"
        "w               -4.1  short\n");
  CHECK(table.text(true).rfind("\033[1mrun         rise / K  note\033[0m\n", 0) == 0);
}

TEST_CASE("colour goes to terminals alone, and never against NO_COLOR") {
  CHECK(takes_colour(true, nullptr, "xterm"));
  CHECK_FALSE(takes_colour(false, nullptr, "xterm"));
  CHECK_FALSE(takes_colour(true, "1", "xterm"));
  CHECK_FALSE(takes_colour(true, "", "xterm"));
  CHECK_FALSE(takes_colour(true, nullptr, "dumb"));
  CHECK_FALSE(takes_colour(true, nullptr, nullptr));
  CHECK(toned("well", Tone::good, false) == "well");
  CHECK(toned("well", Tone::good, true) == "\033[32mwell\033[0m");
  CHECK(toned("well", Tone::plain, true) == "well");
}

TEST_CASE("an error is one line and its exit code") {
  std::istringstream in;
  std::ostringstream out;
  std::ostringstream err;
  Streams streams{"teapot", in, out, err, false};
  for (const auto& [kind, code] : {std::pair{Fault::usage, 64},
                                   {Fault::bad_data, 65},
                                   {Fault::no_input, 66},
                                   {Fault::unavailable, 69},
                                   {Fault::cannot_create, 73},
                                   {Fault::io, 74},
                                   {Fault::try_later, 75},
                                   {Fault::not_permitted, 77},
                                   {Fault::bad_configuration, 78}}) {
    CHECK(report_error(streams, {kind, "no tea"}) == code);
  }
  CHECK(err.str().rfind("teapot: no tea\nteapot: no tea\n", 0) == 0);
  CHECK(out.str().empty());
}

TEST_CASE("text wraps at blanks") {
  CHECK(wrapped("one two three", 2, 9) == "  one two\n  three\n");
  CHECK(wrapped("incomprehensible word", 0, 8) == "incomprehensible\nword\n");
  CHECK(wrapped("a  b", 0, 80) == "a b\n");
  CHECK(wrapped("", 2, 80).empty());
  CHECK(hanging("  --x", "what it does", 10, 80) == "  --x     what it does\n");
  CHECK(hanging("  --very-long", "what", 10, 80) == "  --very-long\n          what\n");
}
