// The numbers of a trial that a person weighs, measures or reads: what may be set one by one.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/sheet/sheet.hpp"

namespace nestcup {

/// One amount of a trial. The key carries the unit, as in the file: "mass_g", "temperature_degC".
struct SheetAmount {
  std::string part;  ///< "cup", "added" or "heater"
  std::string key;
  std::optional<double> value;  ///< absent: the sheet does not say
  std::string u_key;            ///< of its standard uncertainty; empty where it has none
  std::optional<double> u;      ///< as the sheet states it here, else the instrument's
  std::string u_from;           ///< "sheet", or the instrument's name; empty where `u` is absent
};

/// The amounts of a trial that have a place in it, in the order of its parts: the volume or the
/// mass (whichever the sheet has), what stays behind of it, temperatures, the heater's figures.
[[nodiscard]] std::vector<SheetAmount> amounts_of(const Sheet& sheet, const SheetTrial& trial);

/// Every key of a number that the part of a trial may hold; empty for a part that is none.
[[nodiscard]] std::vector<std::string> amount_keys(const std::string& part);

}  // namespace nestcup
