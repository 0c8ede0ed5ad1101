// A probe: follows its place with a first-order lag, and shows noise and a last digit.
#pragma once

#include <deque>
#include <string>

#include "sim/random.hpp"
#include "sim/scenario.hpp"

namespace nestcup::sim {

/// Number of decimals that write multiples of `step_K` exactly, at most 6; 0 < step_K.
[[nodiscard]] int decimals_of_step(double step_K);

/// A reading as text: the decimals of the step, or the shortest exact text without a step.
[[nodiscard]] std::string reading_text(double temperature_degC, double step_K);

/// One probe. Its own temperature is integrated by the bench; this holds all else.
class Probe {
 public:
  /// @param stream  the probe's stream of random numbers under `seed`
  Probe(const ProbeSettings& settings, std::uint64_t seed, std::uint64_t stream);

  [[nodiscard]] Place place() const { return place_; }
  /// Lag at work now (s); 0 follows at once.
  [[nodiscard]] double lag_s(bool in_liquid) const;
  /// What a probe in liquid tends to (degC): the liquid, less what its stem in the air leads away.
  [[nodiscard]] double liquid_target_degC(double liquid_degC, double air_degC) const;
  /// What a probe in air tends to (degC): the air, less the cold of evaporation while it is wet.
  [[nodiscard]] double air_target_degC(double air_degC, double time_s) const;

  void carry(Place to, double time_s);
  void knock(double offset_K, double until_s);

  /// One reading (degC) of a probe that is as warm as `temperature_degC`: takes one random number.
  [[nodiscard]] double read(double temperature_degC, double time_s);

 private:
  /// Mean of this reading and those before it that are averaged.
  [[nodiscard]] double mean_with(double reading_degC);

  ProbeSettings settings_;
  Place place_;
  double liquid_lag_s_;  ///< lag_s of the settings, with the part in the air
  double liquid_share_;  ///< of the heat exchange of a probe in liquid
  double wet_since_s_ = 0.0;
  bool wet_ = false;
  double knock_K_ = 0.0;
  double knock_until_s_ = 0.0;
  double decimal_scale_ = 0.0;  ///< 10 to the decimals of the step; 0 without a step
  std::deque<double> newest_;   ///< the readings that are averaged
  Random random_;
};

}  // namespace nestcup::sim
