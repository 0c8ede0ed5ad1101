// Words of a benchmark's command line.
#pragma once

#include <algorithm>
#include <cstdint>
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

/// The word at a place as a whole number, or what counts where there is none.
inline int count_at(const std::vector<std::string>& words, std::size_t place, int otherwise) {
  return words.size() > place ? std::atoi(words[place].c_str()) : otherwise;
}

/// The same of a seed.
inline std::uint64_t seed_at(const std::vector<std::string>& words, std::size_t place) {
  constexpr std::uint64_t usual_seed = 20262;
  return words.size() > place ? std::strtoull(words[place].c_str(), nullptr, 10) : usual_seed;
}

}  // namespace nestcup::bench
