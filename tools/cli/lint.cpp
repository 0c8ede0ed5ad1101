#include "tools/cli/lint.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <iomanip>
#include <set>
#include <sstream>

#include "tools/cli/own_commands.hpp"
#include "tools/cli/parse.hpp"

namespace nestcup::cli {

namespace {

/// Collects faults under the name of what is being looked at.
class Findings {
 public:
  void look_at(const std::string& place) { place_ = place; }
  void expect(bool is_well, const std::string& fault) {
    if (!is_well) faults_.push_back(place_ + ": " + fault);
  }
  [[nodiscard]] std::vector<std::string> taken() { return std::move(faults_); }

 private:
  std::string place_;
  std::vector<std::string> faults_;
};

bool consists_of(const std::string& text, std::string_view characters) {
  return !text.empty() && text.find_first_not_of(characters) == std::string::npos;
}

bool is_word(const std::string& text) {
  return consists_of(text, "abcdefghijklmnopqrstuvwxyz0123456789-") && text.front() != '-';
}

/// As a word, but units keep their capitals: --emf-uV.
bool is_option_name(const std::string& text) {
  return consists_of(text, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-") &&
         is_word(text.substr(0, 1));
}

bool is_value_name(const std::string& text) {
  return consists_of(text, "ABCDEFGHIJKLMNOPQRSTUVWXYZ_");
}

bool is_plain(const std::string& text) {
  return !text.empty() &&
         std::all_of(text.begin(), text.end(), [](char c) { return c >= ' ' && c <= '~'; });
}

/// A line for a list: plain ASCII without a full stop.
bool is_list_line(const std::string& text) {
  return is_plain(text) && text.back() != '.';
}

void check_completion(const Completion& complete, Findings& findings) {
  findings.expect((complete.hint == Hint::words) == !complete.words.empty(),
                  "words to offer and the hint to offer words must go together");
  for (const std::string& word : complete.words) {
    findings.expect(is_plain(word) && word.find_first_of(" '\"\\()$`") == std::string::npos,
                    fmt::format("'{}' is no word that every shell can offer", word));
  }
}

void check_option(const OptionSpec& option, Findings& findings) {
  findings.expect(is_option_name(option.name),
                  "the option's name is not a word that begins in lower case");
  findings.expect(is_list_line(option.help), "help must be plain ASCII without a full stop");
  check_completion(option.complete, findings);
  if (option.is_switch()) {
    findings.expect(
        option.default_text.empty() && option.complete.hint == Hint::none && !option.required,
        "a default, completion or duty needs a value name");
    return;
  }
  findings.expect(is_value_name(option.value_name), "the value's name is not in capitals");
  findings.expect(!option.required || option.default_text.empty(),
                  "a required option needs no default");
}

void check_options(const std::string& command, const std::vector<OptionSpec>& options,
                   Findings& findings) {
  std::set<std::string> names;
  std::set<char> letters;
  for (const OptionSpec& option : options) {
    findings.look_at(command + " --" + option.name);
    check_option(option, findings);
    findings.expect(names.insert(option.name).second, "the option's name is taken");
    findings.expect(option.short_letter == '\0' || letters.insert(option.short_letter).second,
                    "the option's letter is taken");
  }
}

void check_arguments(const CommandSpec& command, Findings& findings) {
  int varying = 0;
  std::set<std::string> names;
  for (const ArgumentSpec& argument : command.arguments) {
    findings.look_at(command.name + ' ' + argument.name);
    findings.expect(is_value_name(argument.name), "the argument's name is not in capitals");
    findings.expect(names.insert(argument.name).second, "the argument's name is taken");
    findings.expect(is_list_line(argument.help), "help must be plain ASCII without a full stop");
    findings.expect(argument.min <= argument.max && argument.max > 0, "min and max do not fit");
    findings.expect(argument.min == argument.max || ++varying == 1, "two arguments vary in number");
    check_completion(argument.complete, findings);
  }
}

/// The words of an example, up to a pipe or a redirection; what stands in double quotes is one
/// word.
std::vector<std::string> example_words(const std::string& example) {
  std::istringstream stream(example);
  std::vector<std::string> words;
  while (stream >> std::ws && !stream.eof()) {
    const bool in_quotes = stream.peek() == '"';
    std::string word;
    stream >> std::quoted(word);
    if (!in_quotes && word.find_first_of("|<>") != std::string::npos) break;
    words.push_back(word);
  }
  return words;
}

void check_example(const ProgramSpec& program, const CommandSpec& whole, const Example& example,
                   Findings& findings) {
  findings.expect(is_plain(example.explanation), "an example without a plain explanation");
  std::vector<std::string> words = example_words(example.command);
  const std::size_t skipped = program.single ? 1 : 2;
  const bool is_call = words.size() >= skipped && words[0] == program.name &&
                       (program.single || words[1] == whole.name);
  findings.expect(is_call, fmt::format("the example '{}' does not call it", example.command));
  if (!is_call) return;
  words.erase(words.begin(), words.begin() + static_cast<std::ptrdiff_t>(skipped));
  const auto parsed = parse_words(whole, words);
  findings.expect(parsed.ok(), fmt::format("the example '{}' does not parse: {}", example.command,
                                           parsed.ok() ? "" : parsed.error().text));
}

void check_command(const ProgramSpec& program, const CommandSpec& command, Findings& findings) {
  CommandSpec whole = command;
  add_own_options(program, whole);
  check_options(command.name, whole.options, findings);
  check_arguments(command, findings);
  findings.look_at(command.name);
  findings.expect(is_word(command.name), "the command's name is not a lower-case word");
  findings.expect(is_list_line(command.summary), "the summary must be ASCII without a full stop");
  findings.expect(static_cast<bool>(command.run), "there is nothing to run");
  for (const std::string& paragraph : command.description) {
    findings.expect(is_plain(paragraph), "a paragraph is empty, or not one line of ASCII");
  }
  for (const ExitNote& note : command.exit_notes) {
    findings.expect(note.code >= 0 && note.code <= 255 && is_list_line(note.meaning),
                    "an exit code out of range or without a plain meaning");
  }
  for (const Example& example : command.examples) check_example(program, whole, example, findings);
}

}  // namespace

std::vector<std::string> description_faults(const ProgramSpec& program) {
  Findings findings;
  findings.look_at(program.name);
  findings.expect(is_word(program.name), "the program's name is not a lower-case word");
  findings.expect(is_list_line(program.summary), "the summary must be ASCII without a full stop");
  findings.expect(!program.version.empty(), "no version");
  findings.expect(program.single.has_value() == program.commands.empty(),
                  "either commands or a single one");
  if (program.single) {
    check_command(program, *program.single, findings);
    return findings.taken();
  }
  const ProgramSpec full = with_own_commands(program);
  std::set<std::string> names;
  for (const CommandSpec& command : full.commands) {
    check_command(full, command, findings);
    findings.expect(names.insert(command.name).second, "the command's name is taken");
  }
  return findings.taken();
}

}  // namespace nestcup::cli
