// Man pages and completion scripts, held against the tools that read them.
#include <filesystem>
#include <fstream>
#include <iterator>
#include <sstream>

#include "tests/catch.hpp"
#include "tests/cli/call.hpp"
#include "tests/cli/sample/teapot.hpp"
#include "tools/cli/completion.hpp"
#include "tools/cli/man_page.hpp"
#include "tools/cli/own_commands.hpp"

using namespace nestcup::cli;

namespace {

bool is_installed(const std::string& program) {
  return shell("command -v " + program).code == 0;
}

/// `text` with one blank for each run of blanks and line ends.
std::string on_one_line(const std::string& text) {
  std::istringstream stream(text);
  std::string line;
  for (std::string word; stream >> word;) line += word + ' ';
  return line;
}

/// The words of a page as read on a terminal; the warnings of troff must be empty.
std::string set_page(const std::string& page) {
  const TemporaryFile file(page);
  const Outcome warned = shell("groff -ww -man -Tascii -z '" + file.path() + "'");
  CHECK(warned.out == "");
  CHECK(warned.code == 0);
  return on_one_line(shell("groff -man -rHY=0 -Tascii -P-cbou '" + file.path() + "'").out);
}

/// What bash offers for the words, the last of which is being typed.
std::string offered(const ProgramSpec& program, const std::string& words) {
  const TemporaryFile script(bash_script(program));
  return shell("source '" + script.path() + "'; COMP_WORDS=(" + words +
               "); COMP_CWORD=$((${#COMP_WORDS[@]} - 1)); _" + program.name +
               "; echo \"${COMPREPLY[*]}\"")
      .out;
}

}  // namespace

TEST_CASE("man pages set without warnings and hold what the help holds") {
  if (!is_installed("groff")) {
    WARN("SKIP: groff is not installed");
    return;
  }
  const ProgramSpec program = teapot_program();
  const std::string overview = set_page(program_page(program));
  CHECK(contains(overview, "teapot - make tea"));
  CHECK(contains(overview, "teapot-brew(1)"));
  const CommandSpec& brew = program.commands.front();
  const std::string page = set_page(command_page(program, brew));
  for (const OptionSpec& option : shown_options(program, brew)) {
    CHECK(contains(page, "--" + option.name + (option.is_switch() ? "" : ' ' + option.value_name)));
  }
  CHECK(contains(page, "'Strong' tea isn't stirred; see C:\\tea or ~/tea"));
  CHECK(contains(page, "for `more`"));
  CHECK(contains(page, ".A second paragraph starts with a dot."));
  CHECK(contains(page, "a cup leaks"));
  CHECK(contains(set_page(program_page(kettle_program())), "--water FILE"));
}

TEST_CASE("the manual reader itself has nothing to say against a page") {
  if (!is_installed("man")) {
    WARN("SKIP: man is not installed");
    return;
  }
  const ProgramSpec program = teapot_program();
  const TemporaryFile file(command_page(program, program.commands.front()));
  CHECK(shell("LC_ALL=C MANWIDTH=80 man --warnings -l '" + file.path() + "' 2>&1 >/dev/null").out ==
        "");
}

TEST_CASE("bash offers commands, options, words and files") {
  const ProgramSpec plain = teapot_program();
  const ProgramSpec program = with_own_commands(plain);
  CHECK(offered(program, "teapot ''") == "brew pour drop help --help --version\n");
  CHECK(offered(program, "teapot br") == "brew\n");
  CHECK(offered(program, "teapot brew --st") == "--strong\n");
  CHECK(offered(program, "teapot brew --kind ''") == "black green white\n");
  CHECK(offered(program, "teapot brew -k gr") == "green\n");
  CHECK(offered(program, "teapot brew --kind = gr") == "green\n");
  CHECK(offered(program, "teapot brew --minutes ''") == "\n");
  CHECK(offered(program, "teapot help po") == "pour\n");
  CHECK(offered(program, "teapot pour x") == "\n");
  CHECK(offered(kettle_program(), "kettle --wa") == "--water\n");
  const TemporaryFile file("");
  const std::string start = file.path().substr(0, file.path().size() - 1);
  CHECK(contains(offered(program, "teapot brew --recipe " + start), file.path()));
  CHECK(contains(offered(program, "teapot brew " + start), file.path()));
}

TEST_CASE("the scripts are sound to their shells") {
  for (const ProgramSpec& program : {teapot_program(), kettle_program()}) {
    const TemporaryFile bash(bash_script(program));
    CHECK(shell("bash -n '" + bash.path() + "'").out == "");
    for (const std::string name : {"zsh", "fish"}) {
      if (!is_installed(name)) {
        WARN("SKIP: " << name << " is not installed");
        continue;
      }
      const TemporaryFile script(*completion_script(program, name));
      const Outcome checked = shell(name + " -n '" + script.path() + "'");
      CHECK(checked.out == "");
      CHECK(checked.code == 0);
    }
  }
}

TEST_CASE("every shell's script holds every command and option that the help shows") {
  const ProgramSpec program = teapot_program();
  for (const std::string& name : completion_shells()) {
    const std::string script = completion_script(program, name).value();
    CAPTURE(name);
    for (const CommandSpec& command : shown_commands(program)) {
      CHECK(contains(script, command.name));
      for (const OptionSpec& option : shown_options(program, command)) {
        CHECK(contains(script, (name == "fish" ? "-l " : "--") + option.name));
      }
    }
  }
  CHECK_FALSE(completion_script(program, "csh").has_value());
}

TEST_CASE("the build writes all pages and scripts") {
  const std::filesystem::path folder = TEAPOT_DOCUMENTS;
  for (const char* name : {"man1/teapot.1", "man1/teapot-brew.1", "man1/teapot-help.1",
                           "bash/teapot", "zsh/_teapot", "fish/teapot.fish"}) {
    CAPTURE(name);
    REQUIRE(std::filesystem::exists(folder / name));
    CHECK(std::filesystem::file_size(folder / name) > 100);
  }
  CHECK_FALSE(std::filesystem::exists(folder / "man1/teapot-man.1"));
  std::ifstream page(folder / "man1/teapot-brew.1");
  const std::string text{std::istreambuf_iterator<char>(page), {}};
  const ProgramSpec program = teapot_program();
  CHECK(text == command_page(program, program.commands.front()));
}
