#include "core/base/nearest.hpp"

#include <algorithm>
#include <vector>

namespace nestcup {

namespace {

char lower(char c) {
  return c >= 'A' && c <= 'Z' ? static_cast<char>(c - 'A' + 'a') : c;
}

}  // namespace

std::size_t edit_distance(std::string_view one, std::string_view other) {
  // Three rows of the table are enough: a swap looks two rows back.
  std::vector<std::size_t> before_last(other.size() + 1);
  std::vector<std::size_t> last(other.size() + 1);
  std::vector<std::size_t> row(other.size() + 1);
  for (std::size_t j = 0; j <= other.size(); ++j) row[j] = j;
  for (std::size_t i = 1; i <= one.size(); ++i) {
    before_last.swap(last);
    last.swap(row);
    row[0] = i;
    for (std::size_t j = 1; j <= other.size(); ++j) {
      const bool same = lower(one[i - 1]) == lower(other[j - 1]);
      row[j] = std::min({last[j] + 1, row[j - 1] + 1, last[j - 1] + (same ? 0 : 1)});
      const bool swapped = i > 1 && j > 1 && lower(one[i - 1]) == lower(other[j - 2]) &&
                           lower(one[i - 2]) == lower(other[j - 1]);
      if (swapped) row[j] = std::min(row[j], before_last[j - 2] + 1);
    }
  }
  return row[other.size()];
}

std::optional<std::string> nearest(std::string_view word, std::span<const std::string> candidates) {
  std::optional<std::string> best;
  std::size_t best_distance = 0;
  for (const std::string& candidate : candidates) {
    const std::size_t distance = edit_distance(word, candidate);
    if (3 * distance > std::max(word.size(), candidate.size())) continue;
    if (!best || distance < best_distance) {
      best = candidate;
      best_distance = distance;
    }
  }
  return best;
}

}  // namespace nestcup
