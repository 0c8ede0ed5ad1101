#include "core/sheet/amounts.hpp"

#include <array>
#include <string_view>

namespace nestcup {

namespace {

using Number = std::optional<double>;

/// A number of a vessel's contents and the one that says how well it is known.
struct ContentsKey {
  std::string_view key;
  Number Contents::*value;
  std::string_view u_key = {};
  Number Contents::*u = nullptr;
  /// What it says something of: it has a place only where that is there.
  Number Contents::*owner = nullptr;
};

constexpr std::array<ContentsKey, 6> contents_keys{{
    {"volume_mL", &Contents::volume_mL, "u_volume_mL", &Contents::u_volume_mL,
     &Contents::volume_mL},
    {"mass_g", &Contents::mass_g, "u_mass_g", &Contents::u_mass_g, &Contents::mass_g},
    {"left_behind_mL", &Contents::left_behind_mL, "u_left_behind_mL", &Contents::u_left_behind_mL,
     &Contents::volume_mL},
    {"left_behind_g", &Contents::left_behind_g, "u_left_behind_g", &Contents::u_left_behind_g,
     &Contents::mass_g},
    {"temperature_degC", &Contents::temperature_degC, "u_temperature_K",
     &Contents::u_temperature_K},
    {"read_at_degC", &Contents::read_at_degC, {}, nullptr, &Contents::volume_mL},
}};

struct HeaterKey {
  std::string_view key;
  double Heater::*value;
  std::string_view u_key;
  Number Heater::*u;
};

constexpr std::array<HeaterKey, 3> heater_keys{{
    {"voltage_V", &Heater::voltage_V, "u_voltage_V", &Heater::u_voltage_V},
    {"current_A", &Heater::current_A, "u_current_A", &Heater::u_current_A},
    {"time_s", &Heater::time_s, "u_time_s", &Heater::u_time_s},
}};

/// What the instrument says of an amount that the sheet itself gives no uncertainty for.
void add_instrument_u(const Sheet& sheet, const Contents& contents, SheetAmount& amount) {
  if (amount.u || !contents.instrument) return;
  const Instrument& instrument = sheet.instruments[*contents.instrument];
  if (amount.key == "volume_mL") amount.u = instrument.u_volume_mL;
  if (amount.key == "mass_g") amount.u = instrument.u_mass_g;
  if (amount.u) amount.u_from = instrument.name;
}

void add_contents(const Sheet& sheet, const std::string& part,
                  const std::optional<Contents>& contents, std::vector<SheetAmount>& amounts) {
  if (!contents) return;
  for (const ContentsKey& one : contents_keys) {
    if (one.owner != nullptr && !((*contents).*one.owner)) continue;
    SheetAmount amount{
        part, std::string(one.key), (*contents).*one.value, std::string(one.u_key), std::nullopt,
        ""};
    if (one.u != nullptr) amount.u = (*contents).*one.u;
    if (amount.u) amount.u_from = "sheet";
    add_instrument_u(sheet, *contents, amount);
    amounts.push_back(std::move(amount));
  }
}

void add_heater(const std::optional<Heater>& heater, std::vector<SheetAmount>& amounts) {
  if (!heater) return;
  for (const HeaterKey& one : heater_keys) {
    const Number u = (*heater).*one.u;
    amounts.push_back({"heater", std::string(one.key), (*heater).*one.value, std::string(one.u_key),
                       u, u ? "sheet" : ""});
  }
}

template <class Keys>
std::vector<std::string> names_of(const Keys& keys) {
  std::vector<std::string> names;
  for (const auto& one : keys) {
    names.emplace_back(one.key);
    if (!one.u_key.empty()) names.emplace_back(one.u_key);
  }
  return names;
}

}  // namespace

std::vector<SheetAmount> amounts_of(const Sheet& sheet, const SheetTrial& trial) {
  std::vector<SheetAmount> amounts;
  add_contents(sheet, "cup", trial.cup, amounts);
  add_contents(sheet, "added", trial.added, amounts);
  add_heater(trial.heater, amounts);
  return amounts;
}

std::vector<std::string> amount_keys(const std::string& part) {
  if (part == "cup" || part == "added") return names_of(contents_keys);
  if (part == "heater") return names_of(heater_keys);
  return {};
}

}  // namespace nestcup
