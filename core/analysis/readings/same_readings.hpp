// Readings that stay the same to the last bit for longer than noise and rounding allow: a frozen
// source, such as a board that repeats its last value.
#pragma once

#include <cstddef>

namespace nestcup {

/// The largest probability that a reading equals the one before, whatever the temperature between
/// two steps of the display: P0^2 + 2 P1^2 + ... for a value in the middle of a step, where P_k is
/// the probability of the k-th step from there under white Gaussian noise. A display that hides its
/// noise (or has none) gives 1, and nothing can be told from it.
/// @param noise_K  standard deviation, >= 0
/// @param step_K   of the display, >= 0; 0 for none
[[nodiscard]] double same_probability(double noise_K, double step_K);

/// Whether so many equal readings in a row are no chance: less than once in 10^9 such stretches.
/// @param same  probability that a reading equals the one before, 0 to 1
[[nodiscard]] bool is_frozen(std::size_t equal_in_a_row, double same);

}  // namespace nestcup
