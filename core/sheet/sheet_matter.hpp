// Substances and equations out of a sheet's texts. Internal to the room.
#pragma once

#include <optional>
#include <string>

#include "core/matter/equation.hpp"
#include "core/matter/formula.hpp"
#include "core/sheet/sheet.hpp"
#include "core/sheet/toml_section.hpp"

namespace nestcup {

/// The substance that `text` means, where it means one.
[[nodiscard]] std::optional<Formula> known_substance(const std::string& text);
/// The substance that `text`, the value of `key`, means; notes where it is none.
[[nodiscard]] std::optional<Formula> substance_of(TomlSection& section, std::string_view key,
                                                  const std::string& text);
/// The balanced equation that `text`, out of the value of `key`, is; notes where it is none.
[[nodiscard]] std::optional<Equation> equation_of(TomlSection& section, std::string_view key,
                                                  const std::string& text);
/// Notes each reactant of the trial's equation that neither vessel supplies.
void check_supply(TomlSection& section, const SheetTrial& trial, const Sheet& sheet);

[[nodiscard]] bool is_solid(const Formula& formula);
[[nodiscard]] bool is_dissolved(const Formula& formula);
/// Liquid water, whatever it was called.
[[nodiscard]] bool is_water(const Formula& formula);
[[nodiscard]] bool is_ice(const Formula& formula);

}  // namespace nestcup
