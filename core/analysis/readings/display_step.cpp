#include "core/analysis/readings/display_step.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>
#include <vector>

namespace nestcup {
namespace {

constexpr double same_K = 1e-6;
constexpr double last_decimal_K = 0.001;  ///< of few decimals
/// A display that stands still for so many readings has a step; for the higher number its noise is
/// hidden in it.
constexpr std::size_t few_standing = 6, long_standing = 8;
/// Small decimal steps (K) fit any printed value and tell nothing.
constexpr double least_told_K = 0.05;
/// A converter that has said but one value may be as coarse as most that are read in cups (K).
constexpr double unknown_step_K = 0.1;

/// Steps that displays and converters have (K), the largest first.
constexpr std::array usual_steps_K{0.125, 0.1,      0.0625, 0.05,  0.03125, 0.025,
                                   0.02,  0.015625, 0.01,   0.005, 0.002,   0.001};

/// Largest usual step of which all of `values` are multiples; 0 where there is none.
double usual_step_K(const std::vector<double>& values) {
  for (const double step : usual_steps_K) {
    if (are_multiples(values, step)) return step;
  }
  return 0.0;
}

/// The smallest jump is the step if every other one is a whole multiple of it. Values that are
/// no multiples of anything fail this soon.
std::optional<double> even_step_K(const std::vector<double>& jumps) {
  const double smallest = *std::min_element(jumps.begin(), jumps.end());
  double multiples = 0.0, length = 0.0;
  for (const double jump : jumps) {
    const double count = std::round(jump / smallest);
    // Among few values two may be further apart than one step everywhere.
    if (std::abs(jump - count * smallest) > 0.02 * smallest * std::min(count, 5.0)) {
      return std::nullopt;
    }
    multiples += count;
    length += jump;
  }
  return length / multiples;
}

/// Whether the readings are a converter's whose smallest steps these are: it says the same again
/// and again, and goes one step on or back now and then.
/// @param decimals  whether the values have few
bool goes_by_steps(CurveView curve, bool decimals, double least_K, double most_K) {
  // A probe's way of some seconds would show on a display without such steps; and what has no last
  // decimal does not say the same twice by chance.
  constexpr double quick_s = 2.5;
  const std::size_t going = !decimals || median_interval_s(curve) < quick_s ? 1 : 3;
  const std::size_t standing = decimals ? long_standing : 3;
  std::size_t same = 0, single = 0;
  for (std::size_t i = 1; i < curve.size(); ++i) {
    const double way_K = std::abs(curve[i].temperature_degC - curve[i - 1].temperature_degC);
    if (way_K < same_K) ++same;
    if (way_K >= least_K - same_K && way_K <= most_K) ++single;
  }
  return same >= standing && single >= going;
}

/// The mean of those steps that have no value between them, and how far they are from even.
/// @param jumps  between neighbouring values, in the order of the temperature
std::optional<DisplayStep> uneven_step(CurveView curve, bool decimals,
                                       const std::vector<double>& jumps) {
  constexpr double widest_K = 0.6;
  // Between one step and two there is nothing, however uneven they are.
  constexpr double most_uneven = 1.55, least_double = 1.7;
  const double least_K = *std::min_element(jumps.begin(), jumps.end());
  const double most_K = most_uneven * least_K;
  if (least_K > widest_K || !goes_by_steps(curve, decimals, least_K, most_K)) return std::nullopt;
  double sum_K = 0.0, bends_K2 = 0.0;
  std::size_t single = 0, bends = 0;
  for (std::size_t i = 0; i < jumps.size(); ++i) {
    if (jumps[i] > least_double * least_K) continue;
    if (jumps[i] > most_K) return std::nullopt;
    sum_K += jumps[i];
    ++single;
    if (i == 0 || jumps[i - 1] > most_K) continue;
    bends_K2 += std::pow(jumps[i] - jumps[i - 1], 2);
    ++bends;
  }
  // One place too far on makes a step longer and the next one shorter: a bend has six times the
  // variance of a place.
  const double uneven_K =
      bends > 0 ? std::sqrt(bends_K2 / (6.0 * static_cast<double>(bends))) : 0.0;
  return DisplayStep{sum_K / static_cast<double>(single), uneven_K};
}

}  // namespace

bool are_multiples(const std::vector<double>& values, double step_K) {
  return std::all_of(values.begin(), values.end(), [&](double value) {
    return std::abs(value - std::round(value / step_K) * step_K) < same_K;
  });
}

DisplayStep display_step(CurveView curve) {
  std::vector<double> values;
  values.reserve(curve.size());
  for (const Point& point : curve) values.push_back(point.temperature_degC);
  std::sort(values.begin(), values.end());
  std::vector<double> jumps;
  for (std::size_t i = 1; i < values.size(); ++i) {
    if (values[i] - values[i - 1] > same_K) jumps.push_back(values[i] - values[i - 1]);
  }
  if (jumps.size() > 1) {
    if (const auto even_K = even_step_K(jumps)) return {*even_K, 0.0};
  }
  const double usual_K = usual_step_K(values);
  const bool decimals = are_multiples(values, last_decimal_K);
  const bool is_told = usual_K >= least_told_K || (usual_K > 0.0 && !decimals);
  if (!is_told && !jumps.empty()) {
    if (const auto uneven = uneven_step(curve, decimals, jumps)) return *uneven;
  }
  // One digit, or two, tell no common measure; but a display that stands still rounds.
  if (jumps.size() < 2 && values.size() < few_standing) return {};
  const bool is_unknown = !is_told && jumps.empty() && values.size() >= long_standing;
  return {is_unknown ? unknown_step_K : usual_K, 0.0};
}

}  // namespace nestcup
