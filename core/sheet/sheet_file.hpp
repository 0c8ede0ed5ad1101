// The sheet (TOML): what a day at the bench is about. Only what the run records need so far:
// title, digest, and each trial's name, purpose, contents and heater.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/base/result.hpp"

namespace nestcup {

enum class Purpose {
  calorimeter_constant,
  reaction,
  heat_capacity,
  fusion,
  electrical_calibration
};

/// The purpose as the sheet writes it ("calorimeter constant").
[[nodiscard]] std::string purpose_text(Purpose purpose);

/// What a vessel holds before mixing.
struct Contents {
  std::string substance;  ///< empty where a stock is named
  std::string stock;
  std::optional<double> volume_mL;
  std::optional<double> mass_g;
  std::optional<double> temperature_degC;  ///< typed; a probe's reading wins over it
};

/// Electrical heating over a known time.
struct Heater {
  double voltage_V = 0.0;
  double current_A = 0.0;
  double time_s = 0.0;
};

struct SheetTrial {
  std::string name;
  Purpose purpose = Purpose::reaction;
  std::string equation;  ///< empty where the purpose has none
  std::optional<Contents> cup;
  std::optional<Contents> added;
  std::optional<Heater> heater;
};

struct Sheet {
  std::string path;
  std::string title;
  std::string sha256;  ///< of the file's bytes, lower-case hex
  std::optional<double> constant_J_per_K;
  std::vector<SheetTrial> trials;

  [[nodiscard]] const SheetTrial* find(const std::string& name) const;
};

/// @errors no_input: no such file; bad_data: file, line, key and what was expected (first problem)
[[nodiscard]] Result<Sheet> read_sheet(const std::string& path);
[[nodiscard]] Result<Sheet> parse_sheet(const std::string& text, const std::string& path);

}  // namespace nestcup
