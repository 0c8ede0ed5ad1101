// Commands of nestcup as typed, run within the test.
#pragma once

#include <sstream>
#include <string>
#include <vector>

#include "tools/cli/program.hpp"
#include "tools/commands.hpp"

namespace nestcup::testing {

struct Outcome {
  int code = -1;
  std::string out{};
  std::string err{};
};

/// @param words  behind the program's name
inline Outcome typed_words(const std::vector<std::string>& words) {
  std::istringstream in;
  std::ostringstream out, err;
  cli::Streams streams{"nestcup", in, out, err};
  const int code = cli::run_program(nestcup_program(), words, streams);
  return {code, out.str(), err.str()};
}

/// @param line  behind the program's name, words parted by blanks
inline Outcome typed(const std::string& line) {
  std::istringstream stream(line);
  std::vector<std::string> words;
  for (std::string word; stream >> word;) words.push_back(word);
  return typed_words(words);
}

}  // namespace nestcup::testing
