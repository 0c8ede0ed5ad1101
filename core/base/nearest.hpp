// Near misses: the known word that someone probably meant.
#pragma once

#include <cstddef>
#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace nestcup {

/// How many single characters must be inserted, dropped, replaced or swapped with their neighbour
/// to make one word of the other (optimal string alignment distance), letters of either case alike.
[[nodiscard]] std::size_t edit_distance(std::string_view one, std::string_view other);

/// The candidate closest to `word`, where one is close enough to be a slip of the keys: at most a
/// third of the longer word's characters wrong. The first of equals.
[[nodiscard]] std::optional<std::string> nearest(std::string_view word,
                                                 std::span<const std::string> candidates);

}  // namespace nestcup
