// One amount of a sheet set anew in the file's own text.
#pragma once

#include <optional>
#include <string>

#include "core/base/result.hpp"
#include "core/sheet/sheet.hpp"

namespace nestcup {

struct AmountChange {
  std::string trial;            ///< its name
  std::string part;             ///< "cup", "added" or "heater"
  std::string key;              ///< with its unit, as in the file: "mass_g", "u_mass_g"
  std::optional<double> value;  ///< nothing: the key is taken out
};

struct AmountEdit {
  Sheet sheet;                   ///< read from the new text, and sound
  std::optional<double> before;  ///< what stood there; nothing where the key was not there
};

/// Puts the number in the place of the one that stands there, or the key into the part's table, or
/// takes the key out; every other byte stays as it is: comments, order, line ends. Then the new
/// text is read and checked from the beginning. Where the value is that already, the text stays.
/// @errors usage: no such trial, part or key (says the nearest), or a value that is no finite
///   number; bad_data: the sheet would be wrong (file, line, key and what was expected), or the
///   text is written in a way in which this one number cannot be changed alone
[[nodiscard]] Result<AmountEdit> edit_amount(const Sheet& sheet, const AmountChange& change);

}  // namespace nestcup
