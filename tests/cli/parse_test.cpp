#include "tools/cli/parse.hpp"

#include "tests/catch.hpp"
#include "tests/cli/sample/teapot.hpp"

using namespace nestcup;
using namespace nestcup::cli;

namespace {

using Words = std::vector<std::string>;

CommandSpec brew() {
  return teapot_program().commands.front();
}

/// The values, which must be there.
Parsed parsed(const Words& words) {
  auto result = parse_words(brew(), words);
  INFO((result.ok() ? "" : result.error().text));
  REQUIRE(result.ok());
  return *result;
}

std::string refused(const CommandSpec& command, const Words& words) {
  const auto result = parse_words(command, words);
  REQUIRE_FALSE(result.ok());
  CHECK(result.error().kind == Fault::usage);
  return result.error().text;
}

}  // namespace

TEST_CASE("options and arguments mix in any order") {
  const Parsed found = parsed({"one", "--kind", "green", "two", "-s", "--minutes=4.5"});
  CHECK(found.texts("CUP") == Words{"one", "two"});
  CHECK(found.text("kind") == "green");
  CHECK(found.flag("strong"));
  CHECK(*found.number("minutes") == 4.5);
}

TEST_CASE("what is not given is absent, or its default") {
  const Parsed found = parsed({"one"});
  CHECK(found.text("kind") == "black");
  CHECK_FALSE(found.flag("kind"));
  CHECK_FALSE(found.flag("strong"));
  CHECK_FALSE(found.text("recipe").has_value());
  CHECK(found.texts("herb").empty());
  REQUIRE(found.number("minutes").ok());
  CHECK_FALSE(found.number("minutes")->has_value());
}

TEST_CASE("negative numbers are values and arguments") {
  CHECK(*parsed({"--degrees", "-5", "one"}).number("degrees") == -5.0);
  CHECK(*parsed({"--degrees=-5.25", "one"}).number("degrees") == -5.25);
  CHECK(parsed({"-5", "-1e-3", "-s"}).texts("CUP") == Words{"-5", "-1e-3"});
}

TEST_CASE("a dash is standard input, two dashes end the options") {
  CHECK(parsed({"-"}).texts("CUP") == Words{"-"});
  const Parsed found = parsed({"-s", "--", "--kind", "-k"});
  CHECK(found.texts("CUP") == Words{"--kind", "-k"});
  CHECK_FALSE(found.flag("kind"));
}

TEST_CASE("short options take their values next to them or behind them") {
  CHECK(parsed({"-kgreen", "one"}).text("kind") == "green");
  CHECK(parsed({"-k", "green", "one"}).text("kind") == "green");
  const Parsed found = parsed({"-sk", "green", "one"});
  CHECK(found.flag("strong"));
  CHECK(found.text("kind") == "green");
}

TEST_CASE("an empty word is kept") {
  CHECK(parsed({""}).texts("CUP") == Words{""});
  CHECK(parsed({"one", "--recipe", ""}).text("recipe") == "");
}

TEST_CASE("a repeatable option keeps all its values") {
  CHECK(parsed({"--herb", "mint", "--herb=sage", "one"}).texts("herb") == Words{"mint", "sage"});
}

TEST_CASE("wrong words are refused in one line that helps") {
  CHECK(refused(brew(), {"--mintes", "3", "one"}) ==
        "unknown option --mintes; did you mean --minutes?");
  CHECK(refused(brew(), {"--zzz", "one"}) == "unknown option --zzz");
  CHECK(refused(brew(), {"-x", "one"}) == "unknown option -x");
  CHECK(refused(brew(), {"--min", "3", "one"}).rfind("unknown option --min", 0) == 0);
  CHECK(refused(brew(), {"one", "--kind"}) == "option --kind needs a value");
  CHECK(refused(brew(), {"--kind", "--strong", "one"}) ==
        "option --kind needs a value; one that starts with a dash is given as --kind=--strong");
  CHECK(parsed({"--kind=--strong", "one"}).text("kind") == "--strong");
  CHECK(refused(brew(), {"--strong=yes", "one"}) == "option --strong takes no value");
  CHECK(refused(brew(), {"--kind", "a", "-k", "b", "one"}) == "option --kind is given twice");
  CHECK(refused(brew(), {}) == "CUP is missing");
  const CommandSpec pour = teapot_program().commands[1];
  CHECK(refused(pour, {"one"}) == "unexpected argument 'one'");
  const CommandSpec kettle = *kettle_program().single;
  CHECK(refused(kettle, {"one"}) == "option --water FILE is missing");
}

TEST_CASE("numbers that are none name their option") {
  const Parsed found = parsed({"--minutes", "3x", "one"});
  REQUIRE_FALSE(found.number("minutes").ok());
  CHECK(found.number("minutes").error().text == "option --minutes: '3x' is not a number");
  CHECK(found.number("minutes").error().kind == Fault::usage);
  CHECK(found.whole_number("minutes").error().text ==
        "option --minutes: '3x' is not a whole number");
  const Parsed whole = parsed({"--minutes", "-12", "one"});
  CHECK(*whole.whole_number("minutes") == -12);
}

TEST_CASE("arguments are dealt out in order, a row leaves what others need") {
  CommandSpec copy;
  copy.name = "copy";
  copy.arguments = {{"FROM", "what", 1, any_number, {}}, {"TO", "where", 1, 1, {}}};
  const auto found = parse_words(copy, Words{"a", "b", "c"});
  REQUIRE(found.ok());
  CHECK(found->texts("FROM") == Words{"a", "b"});
  CHECK(found->text("TO") == "c");
  CHECK(refused(copy, {"a"}) == "TO is missing");
  copy.arguments = {{"ID", "which", 1, 1, {}}, {"NOTE", "why", 0, 1, {}}};
  CHECK_FALSE(parse_words(copy, Words{"a"})->text("NOTE").has_value());
  CHECK(parse_words(copy, Words{"a", "b"})->text("NOTE") == "b");
  CHECK(refused(copy, {"a", "b", "c"}) == "unexpected argument 'c'");
}
