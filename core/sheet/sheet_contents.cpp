// What a vessel of a trial holds: the inline tables `cup` and `added`.
#include <fmt/format.h>

#include "core/sheet/sheet_matter.hpp"
#include "core/sheet/sheet_parts.hpp"

namespace nestcup {

namespace {

/// Notes what cannot be put into a cup by its amount alone, and forgets it.
void check_phase(TomlSection& section, Contents& contents) {
  if (is_dissolved(*contents.substance)) {
    section.problem("substance",
                    fmt::format("\"{}\" is a solution of unknown strength, expected stock = with "
                                "the name of a [[stock]] that has its concentration",
                                contents.substance_text));
    contents.substance.reset();
  } else if (contents.substance->charge != 0) {
    section.problem("substance", fmt::format("\"{}\" is an ion, expected a whole substance",
                                             contents.substance_text));
    contents.substance.reset();
  } else if (contents.substance->phase == Phase::gas) {
    section.problem("substance", fmt::format("\"{}\" is a gas, expected a liquid or a solid",
                                             contents.substance_text));
    contents.substance.reset();
  }
}

void read_what(TomlSection& section, const Sheet& sheet, bool any_solid, Contents& contents) {
  contents.substance_text = one_line(section, "substance");
  const std::string stock = section.text("stock").value_or("");
  check_one_of(section, "substance", "stock");
  if (!stock.empty()) {
    contents.stock = index_of(section, "stock", stock, sheet.stocks, "[[stock]]");
  }
  if (section.has("substance") && contents.substance_text.empty()) {
    section.problem("substance", "is empty, expected such as \"water\" or \"MgO(s)\"");
    return;
  }
  if (contents.substance_text.empty()) return;
  if (any_solid) {
    contents.substance = known_substance(contents.substance_text);
    return;
  }
  contents.substance = substance_of(section, "substance", contents.substance_text);
  if (contents.substance) check_phase(section, contents);
}

void read_amount(TomlSection& section, Contents& contents) {
  contents.volume_mL = section.number("volume_mL", positive_amount);
  contents.mass_g = section.number("mass_g", positive_amount);
  contents.u_volume_mL = section.number("u_volume_mL", positive_amount);
  contents.u_mass_g = section.number("u_mass_g", positive_amount);
  contents.read_at_degC = section.number("read_at_degC", liquid_degC);
  check_one_of(section, "volume_mL", "mass_g");
  check_belongs(section, "u_volume_mL", "volume_mL");
  check_belongs(section, "u_mass_g", "mass_g");
  check_belongs(section, "read_at_degC", "volume_mL");
  if (!contents.substance || !section.has("volume_mL")) return;
  if (is_solid(*contents.substance)) {
    section.problem("volume_mL", fmt::format("says little of a solid ({}), expected mass_g",
                                             contents.substance_text));
  } else if (!is_water(*contents.substance)) {
    section.problem("volume_mL",
                    fmt::format("is of a liquid whose density is in no table here ({}), expected "
                                "mass_g",
                                contents.substance_text));
  }
}

/// Nothing, or less than the whole, stays behind on pouring.
void check_left(TomlSection& section, std::string_view key, std::optional<double> left,
                std::optional<double> whole) {
  if (!left || !whole || *left < *whole) return;
  section.problem(key,
                  fmt::format("is {}, expected less than the whole amount, {}", *left, *whole));
}

void read_left_behind(TomlSection& section, Contents& contents) {
  constexpr NumberRange left{0.0, 1e6};
  contents.left_behind_mL = section.number("left_behind_mL", left);
  contents.u_left_behind_mL = section.number("u_left_behind_mL", positive_amount);
  contents.left_behind_g = section.number("left_behind_g", left);
  contents.u_left_behind_g = section.number("u_left_behind_g", positive_amount);
  check_belongs(section, "left_behind_mL", "volume_mL");
  check_belongs(section, "left_behind_g", "mass_g");
  check_belongs(section, "u_left_behind_mL", "left_behind_mL");
  check_belongs(section, "u_left_behind_g", "left_behind_g");
  check_left(section, "left_behind_mL", contents.left_behind_mL, contents.volume_mL);
  check_left(section, "left_behind_g", contents.left_behind_g, contents.mass_g);
}

/// `by` names an instrument that can have measured this amount.
void read_instrument(TomlSection& section, const Sheet& sheet, Contents& contents) {
  const auto by = section.text("by");
  if (!by) return;
  contents.instrument = index_of(section, "by", *by, sheet.instruments, "[[instrument]]");
  // Both volume and mass, or neither, has had its word.
  if (!contents.instrument || contents.volume_mL.has_value() == contents.mass_g.has_value()) return;
  const Instrument& instrument = sheet.instruments[*contents.instrument];
  if (contents.volume_mL && !instrument.u_volume_mL && instrument.u_mass_g) {
    section.problem("by", fmt::format("\"{}\" has u_mass_g only, expected one for volumes", *by));
  }
  if (contents.mass_g && !instrument.u_mass_g && instrument.u_volume_mL) {
    section.problem("by", fmt::format("\"{}\" has u_volume_mL only, expected one for masses", *by));
  }
}

}  // namespace

Contents read_contents(TomlSection section, const Sheet& sheet, NumberRange temperature,
                       bool any_solid) {
  Contents contents;
  read_what(section, sheet, any_solid, contents);
  read_amount(section, contents);
  read_instrument(section, sheet, contents);
  read_left_behind(section, contents);
  contents.temperature_degC = section.number("temperature_degC", temperature);
  contents.u_temperature_K = section.number("u_temperature_K", {0.0, 100.0, true});
  check_belongs(section, "u_temperature_K", "temperature_degC");
  section.refuse_other_keys();
  return contents;
}

}  // namespace nestcup
