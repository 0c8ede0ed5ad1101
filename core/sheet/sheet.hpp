// What a day at the bench is about: calorimeter, instruments, stocks, trials and cycle, as checked
// values. SHEET.md has every key of the file.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "core/matter/equation.hpp"
#include "core/matter/formula.hpp"

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

/// What the mark of a vessel for volumes means.
enum class Calibrated {
  to_deliver,  ///< what runs out of it
  to_contain   ///< what is in it: what stays on the wall is missing from the cup
};

/// "to deliver" or "to contain".
[[nodiscard]] std::string calibrated_text(Calibrated calibrated);

/// Something that amounts are measured with: all that name it share its error.
struct Instrument {
  std::string name;
  std::optional<double> u_volume_mL;  ///< absent: not stated
  std::optional<double> u_mass_g;     ///< absent: not stated
  Calibrated calibrated = Calibrated::to_deliver;
};

/// A solution that trials take from, with exactly one of concentration and mass fraction.
struct Stock {
  std::string name;
  Formula substance;  ///< what is dissolved, phase (aq)
  std::optional<double> concentration_mol_per_L;
  std::optional<double> mass_fraction;  ///< of the dissolved substance, 0 to 1
  std::optional<double> u_concentration_mol_per_L;
  std::optional<double> u_mass_fraction;
};

/// What a vessel holds before mixing: a substance or a stock, by volume or by mass.
struct Contents {
  std::optional<Formula> substance;  ///< absent for a stock, and for a solid with a mere name
  std::string substance_text;        ///< as the sheet writes it; empty for a stock
  std::optional<std::size_t> stock;  ///< index in Sheet::stocks
  std::optional<double> volume_mL;
  std::optional<double> mass_g;
  std::optional<double> u_volume_mL;
  std::optional<double> u_mass_g;
  std::optional<std::size_t> instrument;   ///< index in Sheet::instruments
  std::optional<double> temperature_degC;  ///< typed; a probe's reading wins over it
  std::optional<double> u_temperature_K;
  std::optional<double> read_at_degC;    ///< of the liquid when its volume was read
  std::optional<double> left_behind_mL;  ///< not poured, to be taken off the volume
  std::optional<double> u_left_behind_mL;
  std::optional<double> left_behind_g;  ///< not poured, to be taken off the mass
  std::optional<double> u_left_behind_g;
};

/// Electrical heating over a known time.
struct Heater {
  double voltage_V = 0.0;
  double current_A = 0.0;
  double time_s = 0.0;
  std::optional<double> u_voltage_V;
  std::optional<double> u_current_A;
  std::optional<double> u_time_s;
};

/// A temperature of the cup noted by hand.
struct TypedReading {
  double after_mixing_s = 0.0;
  double degC = 0.0;
};

/// A run noted on paper: with the final temperature already carried back, or readings for it.
struct TypedTrial {
  double cup_degC = 0.0;  ///< at mixing
  std::optional<double> added_degC;
  std::optional<double> final_degC;
  std::optional<double> u_degC;        ///< of each typed temperature
  std::vector<TypedReading> readings;  ///< empty where final_degC is there, else two or more
};

struct SheetTrial {
  std::string name;
  Purpose purpose = Purpose::reaction;
  std::optional<Equation> equation;  ///< of a reaction, or of a reference reaction
  std::optional<Contents> cup;
  std::optional<Contents> added;
  std::optional<Heater> heater;
  std::vector<TypedTrial> typed;               ///< one a repeat noted on paper
  std::optional<int> repeats;                  ///< planned number of runs; absent: 1
  std::optional<double> reference_kJ_per_mol;  ///< absent: from the table of accepted values
  std::optional<double> u_reference_kJ_per_mol;
  std::size_t line = 0;  ///< of the file, for messages
};

/// What the sheet wants used for everything instead of the program's tables.
struct Conventions {
  std::optional<double> density_g_per_mL;
  std::optional<double> heat_capacity_J_per_g_K;
};

/// Measured and accepted equations that are to add up to a target.
struct Cycle {
  Equation target;
  std::vector<std::size_t> from;  ///< indexes in Sheet::trials; each has an equation
  std::vector<Equation> accepted;
  std::optional<double> accepted_kJ_per_mol;  ///< the user's own value of the target
  std::optional<double> u_accepted_kJ_per_mol;
  std::string base;  ///< preferred base of accepted values; empty for none
  std::size_t line = 0;
};

struct Calorimeter {
  std::string kind;
  std::optional<double> constant_J_per_K;  ///< 0 is allowed: the cup is taken for nothing
  std::optional<double> u_constant_J_per_K;
  std::optional<double> volume_mL;  ///< what the vessel holds
};

struct Sheet {
  std::string path;
  std::string title;
  std::string sha256;  ///< of the file's bytes, lower-case hex
  std::string text;    ///< the file's bytes
  Calorimeter calorimeter;
  std::vector<Instrument> instruments;
  std::vector<Stock> stocks;
  std::vector<SheetTrial> trials;
  std::optional<Cycle> cycle;
  std::optional<Conventions> conventions;

  [[nodiscard]] const SheetTrial* find(const std::string& name) const;
};

/// Whether some trial heats the cup electrically.
[[nodiscard]] bool has_heater(const Sheet& sheet);

}  // namespace nestcup
