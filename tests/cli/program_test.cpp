#include "tools/cli/program.hpp"

#include "tests/catch.hpp"
#include "tests/cli/call.hpp"
#include "tests/cli/sample/teapot.hpp"
#include "tools/cli/help_text.hpp"
#include "tools/cli/lint.hpp"

using namespace nestcup;
using namespace nestcup::cli;

TEST_CASE("a command runs with its words, and its exit code comes back") {
  const Outcome brewed = call(teapot_program(), {"brew", "--degrees", "-2", "-s", "mug"});
  CHECK(brewed.code == 0);
  CHECK(brewed.out == "kind black\nminutes -\ndegrees -2.0\nstrong yes\ncup mug\n");
  CHECK(brewed.err.empty());
  const Outcome dropped = call(teapot_program(), {"drop"});
  CHECK(dropped.code == 77);
  CHECK(dropped.err == "teapot: the pot is hot; take a cloth\n");
}

TEST_CASE("without a command the overview goes to the error stream") {
  const Outcome bare = call(teapot_program(), {});
  CHECK(bare.code == 64);
  CHECK(bare.out.empty());
  CHECK(contains(bare.err, "brew tea into cups"));
  for (const char* word : {"--help", "-h", "help"}) {
    const Outcome asked = call(teapot_program(), {word});
    CHECK(asked.code == 0);
    CHECK(asked.out == bare.err);
    CHECK(asked.err.empty());
  }
}

TEST_CASE("near misses are named") {
  const Outcome outcome = call(teapot_program(), {"brwe"});
  CHECK(outcome.code == 64);
  CHECK(outcome.err ==
        "teapot: unknown command 'brwe'; did you mean 'brew'?\nsee 'teapot --help'\n");
  CHECK(call(teapot_program(), {"zzzzzz"}).err ==
        "teapot: unknown command 'zzzzzz'\nsee 'teapot --help'\n");
  CHECK(call(teapot_program(), {"brew", "--strog", "mug"}).err ==
        "teapot: unknown option --strog; did you mean --strong?\nsee 'teapot brew --help'\n");
  CHECK(call(teapot_program(), {"--versoin"}).err ==
        "teapot: unknown option --versoin; did you mean --version?\nsee 'teapot --help'\n");
  CHECK(call(teapot_program(), {"help", "por"}).err ==
        "teapot: unknown command 'por'; did you mean 'pour'?\n");
}

TEST_CASE("version") {
  CHECK(call(teapot_program(), {"--version"}).out == "teapot 1.2.3\n");
  CHECK(call(kettle_program(), {"--version"}).out == "kettle 0.9.0\n");
}

TEST_CASE("help holds every option, argument and exit code, in at most 80 columns") {
  const ProgramSpec program = teapot_program();
  const CommandSpec& brew = program.commands.front();
  const Outcome asked = call(program, {"brew", "--help"});
  CHECK(asked.code == 0);
  CHECK(asked.out == call(program, {"help", "brew"}).out);
  for (const OptionSpec& option : shown_options(program, brew)) {
    CHECK(contains(asked.out, option_term(option)));
    CHECK(contains(asked.out, option.help));
  }
  CHECK(contains(asked.out, "Usage: teapot brew [OPTION...] CUP...\n"));
  CHECK(contains(asked.out, "(default: black)"));
  CHECK(contains(asked.out, "65  a cup leaks"));
  CHECK(contains(asked.out, "teapot brew --kind green small-cup large-cup"));
  for (std::size_t at = 0; at < asked.out.size();) {
    const std::size_t end = asked.out.find('\n', at);
    REQUIRE(end != std::string::npos);
    CHECK(end - at <= 80);
    at = end + 1;
  }
}

TEST_CASE("hidden commands are not listed but understood") {
  const std::string overview = call(teapot_program(), {"--help"}).out;
  CHECK_FALSE(contains(overview, "completion"));
  CHECK_FALSE(contains(overview, "  man "));
  CHECK(contains(overview, "  help "));
  CHECK(call(teapot_program(), {"man", "--list"}).out ==
        "teapot\nteapot-brew\nteapot-pour\nteapot-drop\nteapot-help\n");
  CHECK(call(teapot_program(), {"completion", "csh"}).code == 64);
}

TEST_CASE("a single-command program answers for itself") {
  CHECK(call(kettle_program(), {"--water", "spring.txt"}).out == "boils spring.txt\n");
  const Outcome bare = call(kettle_program(), {});
  CHECK(bare.code == 64);
  CHECK(bare.err == "kettle: option --water FILE is missing\nsee 'kettle --help'\n");
  const Outcome help = call(kettle_program(), {"--help"});
  CHECK(help.code == 0);
  CHECK(contains(help.out, "Usage: kettle [OPTION...] --water FILE [CUP]\n"));
  CHECK_FALSE(contains(help.out, "--completion"));
  CHECK(contains(call(kettle_program(), {"--man"}).out, ".TH kettle 1"));
  CHECK(
      contains(call(kettle_program(), {"--completion", "bash"}).out, "complete -F _kettle kettle"));
}

TEST_CASE("the sample descriptions have no faults") {
  CHECK(description_faults(teapot_program()).empty());
  CHECK(description_faults(kettle_program()).empty());
}

TEST_CASE("faults of a description are found") {
  const auto has_fault = [](const ProgramSpec& program, const std::string& fault) {
    const std::vector<std::string> faults = description_faults(program);
    return std::find(faults.begin(), faults.end(), fault) != faults.end();
  };
  ProgramSpec program = teapot_program();
  program.commands[1].name = "help";
  CHECK(has_fault(program, "help: the command's name is taken"));
  program = teapot_program();
  program.commands[0].options.push_back({.name = "strong", .help = "again"});
  CHECK(has_fault(program, "brew --strong: the option's name is taken"));
  program = teapot_program();
  program.commands[0].options[3].short_letter = 'h';
  CHECK(has_fault(program, "brew --help: the option's letter is taken"));
  program = teapot_program();
  program.commands[0].options[0].value_name.clear();
  CHECK(has_fault(program, "brew --kind: a default, completion or duty needs a value name"));
  program = teapot_program();
  program.commands[0].options[1].help = "22 \xC2\xB0";
  CHECK(has_fault(program, "brew --minutes: help must be plain ASCII without a full stop"));
  program = teapot_program();
  program.commands[0].examples[0].command = "teapot brew --kidn green cup";
  CHECK(has_fault(program,
                  "brew: the example 'teapot brew --kidn green cup' does not parse: unknown option "
                  "--kidn; did you mean --kind?"));
  program.commands[0].examples[0].command = "teapot brew \"green -> black\" cup | cat";
  CHECK(description_faults(program).empty());
  program = teapot_program();
  program.commands[2].run = nullptr;
  CHECK(has_fault(program, "drop: there is nothing to run"));
}
