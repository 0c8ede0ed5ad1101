// What only the whole sheet shows.
#include <fmt/format.h>

#include <algorithm>

#include "core/sheet/sheet_matter.hpp"
#include "core/sheet/sheet_parts.hpp"

namespace nestcup {

namespace {

bool gives_constant(const SheetTrial& trial) {
  return trial.purpose == Purpose::calorimeter_constant ||
         trial.purpose == Purpose::electrical_calibration;
}

void check_constant(SheetReading& reading) {
  if (reading.names_constant || !reading.knows_purposes) return;
  const auto& trials = reading.sheet.trials;
  if (std::any_of(trials.begin(), trials.end(), gives_constant)) return;
  // Said once, at the first trial that wants it.
  if (!reading.trials.empty()) {
    reading.trials.front().problem(
        "purpose",
        "no trial for the calorimeter constant: expected a [[trial]] of purpose \"calorimeter "
        "constant\" or \"electrical calibration\", or constant_J_per_K in [calorimeter] (0 takes "
        "the cup for nothing)");
  }
}

/// Room that a content takes for sure: a liquid's volume, and of water by mass 1 mL/g.
double least_volume_mL(const std::optional<Contents>& contents) {
  if (!contents) return 0.0;
  if (contents->volume_mL) return *contents->volume_mL;
  const bool water = contents->substance && is_water(*contents->substance);
  return water ? contents->mass_g.value_or(0.0) : 0.0;
}

void check_room(SheetReading& reading) {
  const Sheet& sheet = reading.sheet;
  if (!sheet.calorimeter.volume_mL) return;
  for (std::size_t i = 0; i < sheet.trials.size(); ++i) {
    const SheetTrial& trial = sheet.trials[i];
    const double wanted_mL = least_volume_mL(trial.cup) + least_volume_mL(trial.added);
    if (wanted_mL <= *sheet.calorimeter.volume_mL) continue;
    reading.trials[i].problem(
        trial.added ? "added" : "cup",
        fmt::format("makes {} mL together, expected no more than the vessel holds "
                    "({} mL, [calorimeter] volume_mL)",
                    wanted_mL, *sheet.calorimeter.volume_mL));
  }
}

}  // namespace

void check_whole(SheetReading& reading) {
  check_constant(reading);
  check_room(reading);
}

}  // namespace nestcup
