#include "core/analysis/readings/held_values.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

namespace nestcup {
namespace {

/// Readings from each change of the value to the next; none where many values are said only once,
/// or where values hardly ever go to and fro: on a display's staircase of a drift, none is held.
std::vector<std::size_t> lengths_held(CurveView curve) {
  constexpr std::size_t most_once = 40, least_turns = 10;
  std::vector<std::size_t> lengths;
  std::size_t begin = 0, once = 0, turns = 0;
  double way_K = 0.0;
  for (std::size_t i = 1; i < curve.size(); ++i) {
    const double step_K = curve[i].temperature_degC - curve[i - 1].temperature_degC;
    if (step_K == 0.0) continue;
    if (begin > 0) lengths.push_back(i - begin);
    if (begin + 1 == i && ++once > 1 + curve.size() / most_once) return {};
    if (step_K * way_K < 0.0) ++turns;
    way_K = step_K;
    begin = i;
  }
  return turns * least_turns < lengths.size() ? std::vector<std::size_t>{} : lengths;
}

/// Each value is said `times` times, or a whole multiple of that, which chance would hardly do.
bool are_multiples(const std::vector<std::size_t>& lengths, std::size_t times) {
  constexpr double nearly_all = 0.95, unlikely = 1e5;
  const auto multiples = static_cast<double>(std::count_if(
      lengths.begin(), lengths.end(), [&](std::size_t length) { return length % times == 0; }));
  return multiples >= nearly_all * static_cast<double>(lengths.size()) &&
         std::pow(static_cast<double>(times), multiples) > unlikely;
}

/// The converter's pace is no multiple of the readings': values are held as often, once more, or
/// once less, but next to never said only once.
bool are_about(const std::vector<std::size_t>& lengths, std::size_t times) {
  constexpr double most = 0.7, next_to_none = 0.02;
  double near = 0.0, once = 0.0;
  for (const std::size_t length : lengths) {
    if (length == 1) once += 1.0;
    if (length > 1 && length + 1 >= times && length <= times + 1) near += 1.0;
  }
  const auto all = static_cast<double>(lengths.size());
  return near >= most * all && once <= next_to_none * all;
}

}  // namespace

std::size_t times_said(CurveView curve) {
  constexpr std::size_t least = 8, longest = 20;
  std::vector<std::size_t> lengths = lengths_held(curve);
  if (lengths.size() < least) return 1;
  for (std::size_t times = longest; times > 1; --times) {
    if (are_multiples(lengths, times)) return times;
  }
  // Longer ones, where two values are the same by chance, are in the upper half.
  const auto lower = lengths.begin() + static_cast<std::ptrdiff_t>(lengths.size() / 3);
  std::nth_element(lengths.begin(), lower, lengths.end());
  const std::size_t times = *lower;
  return times > 1 && times <= longest && are_about(lengths, times) ? times : 1;
}

Curve without_repeats(Curve curve, std::size_t times) {
  if (times == 1) return curve;
  Curve news;
  std::size_t last = 0;
  for (std::size_t i = 0; i < curve.size(); ++i) {
    const bool is_new = i == 0 || curve[i].temperature_degC != curve[i - 1].temperature_degC;
    // Said longer than that, it is two values that are the same.
    const bool is_same_again = !is_new && i > last + times;
    if (!is_new && !is_same_again) continue;
    last = is_new ? i : last + times;
    news.push_back(curve[last]);
  }
  return news;
}

}  // namespace nestcup
