#include "tools/cli/parse.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <boost/program_options.hpp>
#include <climits>

#include "core/base/nearest.hpp"
#include "core/base/numbers.hpp"

namespace nestcup::cli {

namespace {

namespace po = boost::program_options;

po::options_description described(const CommandSpec& command) {
  po::options_description description;
  for (const OptionSpec& option : command.options) {
    const std::string names = option.short_letter == '\0'
                                  ? option.name
                                  : fmt::format("{},{}", option.name, option.short_letter);
    description.add_options()(names.c_str(), new po::untyped_value(option.is_switch()), "");
  }
  return description;
}

/// A word such as "-5.5" where an option could stand is an argument, not a row of short options.
std::vector<po::option> negative_number(std::vector<std::string>& words) {
  const std::string& word = words.front();
  if (word.size() < 2 || word.front() != '-' || !parse_number(word)) return {};
  po::option argument;
  argument.value = {word};
  argument.original_tokens = {word};
  argument.position_key = INT_MAX;
  words.erase(words.begin());
  return {argument};
}

std::string without_dashes(const std::string& word) {
  const std::size_t start = word.find_first_not_of('-');
  return start == std::string::npos ? "" : word.substr(start);
}

Error unknown_option(const CommandSpec& command, const std::string& word) {
  std::vector<std::string> names;
  for (const OptionSpec& option : command.options) {
    if (!option.hidden) names.push_back(option.name);
  }
  const auto near = nearest(without_dashes(word), names);
  return {Fault::usage, near ? fmt::format("unknown option {}; did you mean --{}?", word, *near)
                             : fmt::format("unknown option {}", word)};
}

Error syntax_error(const po::invalid_command_line_syntax& fault) {
  const bool is_extra = fault.kind() == po::invalid_command_line_syntax::extra_parameter;
  return {Fault::usage, fmt::format("option {} {}", fault.get_option_name(),
                                    is_extra ? "takes no value" : "needs a value")};
}

Result<std::vector<po::option>> split_words(const CommandSpec& command,
                                            std::span<const std::string> words) {
  namespace style = po::command_line_style;
  const po::options_description description = described(command);
  try {
    return po::command_line_parser(std::vector<std::string>(words.begin(), words.end()))
        .options(description)
        .style(style::unix_style & ~style::allow_guessing)
        .extra_style_parser(negative_number)
        .run()
        .options;
  } catch (const po::unknown_option& fault) {
    return unknown_option(command, fault.get_option_name());
  } catch (const po::invalid_command_line_syntax& fault) {
    return syntax_error(fault);
  } catch (const po::error& fault) {
    return Error{Fault::usage, fault.what()};
  }
}

Parsed declared(const CommandSpec& command) {
  Parsed parsed;
  for (const OptionSpec& option : command.options) {
    parsed.declare(option.name, "option --" + option.name, option.default_text);
  }
  for (const ArgumentSpec& argument : command.arguments) {
    parsed.declare(argument.name, "argument " + argument.name, "");
  }
  return parsed;
}

/// A word with a dash behind an option that wants a value is more likely the next option.
Result<void> check_value(const po::option& option) {
  if (option.original_tokens.size() < 2) return {};
  const std::string& value = option.original_tokens[1];
  if (value.size() < 2 || value.front() != '-' || parse_number(value)) return {};
  return Error{Fault::usage,
               fmt::format("option --{0} needs a value; one that starts with a dash is given as "
                           "--{0}={1}",
                           option.string_key, value)};
}

/// Deals `words` out to the arguments in order; those behind keep what they need at least.
Result<void> deal_arguments(const CommandSpec& command, std::span<const std::string> words,
                            Parsed& parsed) {
  std::size_t owed_behind = 0;
  for (const ArgumentSpec& argument : command.arguments) owed_behind += argument.min;
  for (const ArgumentSpec& argument : command.arguments) {
    if (words.size() < argument.min) {
      return Error{Fault::usage, fmt::format("{} is missing", argument.name)};
    }
    owed_behind -= argument.min;
    const std::size_t spare = words.size() > owed_behind ? words.size() - owed_behind : 0;
    const std::size_t count = std::min(argument.max, std::max(argument.min, spare));
    for (const std::string& word : words.first(count)) parsed.add(argument.name, word);
    words = words.subspan(count);
  }
  if (words.empty()) return {};
  return Error{Fault::usage, fmt::format("unexpected argument '{}'", words.front())};
}

Result<void> check_options(const CommandSpec& command, const Parsed& parsed) {
  for (const OptionSpec& option : command.options) {
    if (option.required && !parsed.flag(option.name)) {
      return Error{Fault::usage,
                   fmt::format("option --{} {} is missing", option.name, option.value_name)};
    }
    if (!option.repeatable && !option.is_switch() && parsed.texts(option.name).size() > 1) {
      return Error{Fault::usage, fmt::format("option --{} is given twice", option.name)};
    }
  }
  return {};
}

/// Whether an option was given with which nothing more is asked for.
bool stands_alone(const CommandSpec& command, const Parsed& parsed) {
  return std::any_of(command.options.begin(), command.options.end(), [&](const OptionSpec& option) {
    return option.stands_alone && parsed.flag(option.name);
  });
}

}  // namespace

Result<Parsed> parse_words(const CommandSpec& command, std::span<const std::string> words) {
  const auto options = split_words(command, words);
  if (!options) return options.error();
  Parsed parsed = declared(command);
  std::vector<std::string> arguments;
  for (const po::option& option : *options) {
    if (option.string_key.empty()) {
      arguments.insert(arguments.end(), option.value.begin(), option.value.end());
    } else {
      if (auto checked = check_value(option); !checked) return checked.error();
      parsed.add(option.string_key, option.value.empty() ? "" : option.value.front());
    }
  }
  if (stands_alone(command, parsed)) return parsed;
  if (auto checked = check_options(command, parsed); !checked) return checked.error();
  if (auto dealt = deal_arguments(command, arguments, parsed); !dealt) return dealt.error();
  return parsed;
}

}  // namespace nestcup::cli
