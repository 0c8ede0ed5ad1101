#include "core/chemistry/typed_run.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

namespace nestcup {

namespace {

struct Line {
  double at_zero = 0.0, slope = 0.0;
  double mean_s = 0.0, squares_s2 = 0.0;  ///< of the times: mean, and sum about it
  double residuals_K2 = 0.0;              ///< sum of squares
};

Line line_through(std::span<const TypedReading> readings) {
  Line line;
  const double count = static_cast<double>(readings.size());
  double mean_degC = 0.0;
  for (const TypedReading& reading : readings) {
    line.mean_s += reading.after_mixing_s / count;
    mean_degC += reading.degC / count;
  }
  double products = 0.0;
  for (const TypedReading& reading : readings) {
    const double apart_s = reading.after_mixing_s - line.mean_s;
    line.squares_s2 += apart_s * apart_s;
    products += apart_s * (reading.degC - mean_degC);
  }
  line.slope = products / line.squares_s2;
  line.at_zero = mean_degC - line.slope * line.mean_s;
  for (const TypedReading& reading : readings) {
    const double apart = reading.degC - line.at_zero - line.slope * reading.after_mixing_s;
    line.residuals_K2 += apart * apart;
  }
  return line;
}

}  // namespace

Uncertain carried_back_degC(const TypedTrial& typed) {
  const auto farthest = std::max_element(
      typed.readings.begin(), typed.readings.end(), [&](const auto& a, const auto& b) {
        return std::abs(a.degC - typed.cup_degC) < std::abs(b.degC - typed.cup_degC);
      });
  const std::span<const TypedReading> rest(farthest, typed.readings.end());
  const double u_degC = typed.u_degC.value_or(0.0);
  if (rest.size() < 2) return {farthest->degC, u_degC};
  const Line line = line_through(rest);
  const double count = static_cast<double>(rest.size());
  const double widening = std::sqrt(1.0 / count + line.mean_s * line.mean_s / line.squares_s2);
  if (rest.size() == 2) return {line.at_zero, widening * u_degC};
  const double scatter_K = std::sqrt(line.residuals_K2 / (count - 2.0));
  if (scatter_K <= u_degC) return {line.at_zero, widening * u_degC};
  return {line.at_zero, widening * scatter_K, count - 2.0};
}

RunFacts typed_run(const SheetTrial& trial, const TypedTrial& typed, int number) {
  const double u_degC = typed.u_degC.value_or(0.0);
  RunFacts facts;
  facts.id = fmt::format("typed {}", number);
  facts.trial = trial.name;
  facts.number = number;
  facts.cup_degC = {typed.cup_degC, u_degC};
  facts.cup_probe = {"thermometer of the typed runs", 0.0, 0.0};
  if (typed.added_degC) facts.added_degC = Uncertain{*typed.added_degC, u_degC};
  facts.added_by_hand = typed.added_degC.has_value();
  facts.final_degC =
      typed.final_degC ? Uncertain{*typed.final_degC, u_degC} : carried_back_degC(typed);
  facts.rise_K.value = facts.final_degC->value - typed.cup_degC;
  return facts;
}

}  // namespace nestcup
