// Words of a benchmark's command line.
#pragma once

#include <algorithm>
#include <cstdlib>
#include <iterator>
#include <string>
#include <vector>

namespace nestcup::bench {

/// Takes an option and the whole numbers behind it out of the words.
/// @return the numbers; none where the option, or one of them, is missing
inline std::vector<int> taken_numbers(std::vector<std::string>& words, const std::string& option,
                                      std::ptrdiff_t count) {
  const auto found = std::find(words.begin(), words.end(), option);
  if (words.end() - found <= count) return {};
  std::vector<int> numbers;
  std::transform(found + 1, found + 1 + count, std::back_inserter(numbers),
                 [](const std::string& word) { return std::atoi(word.c_str()); });
  words.erase(found, found + 1 + count);
  return numbers;
}

}  // namespace nestcup::bench
