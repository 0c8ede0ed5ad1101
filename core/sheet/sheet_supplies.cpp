// What trials share: instruments and stocks.
#include <array>

#include "core/sheet/sheet_matter.hpp"
#include "core/sheet/sheet_parts.hpp"

namespace nestcup {

namespace {

const std::array<std::string, 2> calibrations{"to deliver", "to contain"};

Instrument read_instrument(TomlSection& section, const Sheet& sheet) {
  Instrument instrument;
  instrument.name = required_line(section, "name", "a name, such as \"cylinder\"");
  check_new_name(section, instrument.name, sheet.instruments);
  instrument.u_volume_mL = section.number("u_volume_mL", positive_amount);
  instrument.u_mass_g = section.number("u_mass_g", positive_amount);
  if (const auto calibrated = section.choice("calibrated", calibrations)) {
    instrument.calibrated = static_cast<Calibrated>(*calibrated);
  }
  section.refuse_other_keys();
  return instrument;
}

void read_substance(TomlSection& section, Stock& stock) {
  const std::string text =
      section.required_text("substance", "what is dissolved, such as \"HCl(aq)\"");
  if (text.empty()) return;
  const auto found = substance_of(section, "substance", text);
  if (!found) return;
  stock.substance = *found;
  if (found->charge != 0) {
    section.problem("substance", "is an ion, expected the whole substance, such as \"HCl(aq)\"");
  }
  if (!is_dissolved(*found)) {
    section.problem("substance",
                    "is no solution, expected what is dissolved with its phase, such "
                    "as \"HCl(aq)\"");
  }
}

Stock read_stock(TomlSection& section, const Sheet& sheet) {
  constexpr NumberRange fraction{0.0, 1.0, true};
  Stock stock;
  stock.name = required_line(section, "name", "a name, such as \"acid\"");
  check_new_name(section, stock.name, sheet.stocks);
  read_substance(section, stock);
  stock.concentration_mol_per_L = section.number("concentration_mol_per_L", {0.0, 100.0, true});
  stock.mass_fraction = section.number("mass_fraction", fraction);
  stock.u_concentration_mol_per_L = section.number("u_concentration_mol_per_L", {0.0, 100.0, true});
  stock.u_mass_fraction = section.number("u_mass_fraction", fraction);
  check_one_of(section, "concentration_mol_per_L", "mass_fraction");
  check_belongs(section, "u_concentration_mol_per_L", "concentration_mol_per_L");
  check_belongs(section, "u_mass_fraction", "mass_fraction");
  section.refuse_other_keys();
  return stock;
}

}  // namespace

std::string calibrated_text(Calibrated calibrated) {
  return calibrations[static_cast<std::size_t>(calibrated)];
}

void read_instruments(SheetReading& reading) {
  Sheet& sheet = reading.sheet;
  for (TomlSection& section : reading.file.tables("instrument")) {
    sheet.instruments.push_back(read_instrument(section, sheet));
  }
}

void read_stocks(SheetReading& reading) {
  Sheet& sheet = reading.sheet;
  const std::size_t before = reading.file.problem_count();
  for (TomlSection& section : reading.file.tables("stock")) {
    sheet.stocks.push_back(read_stock(section, sheet));
  }
  reading.knows_stocks = reading.file.problem_count() == before;
}

}  // namespace nestcup
