// What a finished run, or one typed from paper, says to the chemistry.
#pragma once

#include <optional>
#include <string>

#include "core/base/uncertain.hpp"
#include "core/chemistry/measured.hpp"

namespace nestcup {

/// How far a probe's readings may be off together, K and K/K (k = 1).
struct ProbeError {
  std::string key;  ///< the same in all runs with this probe and calibration
  double u_offset_K = 0.0;
  double u_slope = 0.0;
};

/// Temperatures of one run. Their uncertainties leave out what the probe has in all its runs.
struct RunFacts {
  std::string id;     ///< of the record, or "typed 2"
  std::string trial;  ///< name; empty where the run was given to none
  Uncertain cup_degC;
  std::optional<Uncertain> added_degC;
  Uncertain rise_K;  ///< corrected
  std::optional<Uncertain>
      final_degC{};  ///< of a typed run: read for itself, and instead of the rise
  ProbeError cup_probe{};
  std::optional<ProbeError> added_probe{};  ///< nothing: one probe read both, or it was typed
  bool added_by_hand = false;               ///< typed in the run itself
  int number = 0;                           ///< among its trial's runs, from 1; 0: not known
};

/// The same as measured values with shared inputs.
struct RunTemperatures {
  Measured cup_degC;                   ///< at mixing
  std::optional<Measured> added_degC;  ///< at mixing
  Measured rise_K;
  Measured final_degC;
};

/// @param facts  uncertainties >= 0; a typed added temperature has no probe
[[nodiscard]] RunTemperatures run_temperatures(const RunFacts& facts, Inputs& inputs);

}  // namespace nestcup
