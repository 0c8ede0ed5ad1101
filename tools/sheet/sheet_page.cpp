#include "tools/sheet/sheet_page.hpp"

#include <fmt/format.h>

#include "core/base/uncertain_text.hpp"
#include "core/report/words/cautions.hpp"
#include "tools/cli/output.hpp"
#include "tools/sheet/extent.hpp"

namespace nestcup {
namespace {

std::string counted(std::size_t count, const std::string& what) {
  return fmt::format("{} {}{}", count, what, count == 1 ? "" : "s");
}

/// "50 mL", or "50 mL (u 0.25)".
std::string amount(double value, const std::optional<double>& u, std::string_view unit) {
  return fmt::format("{} {}{}", value, unit, u ? fmt::format(" (u {})", *u) : "");
}

/// "    label      text".
std::string sheet_line(std::string_view label, const std::string& text) {
  return fmt::format("  {:<12} {}\n", label, text);
}

std::string calorimeter_text(const Calorimeter& calorimeter) {
  std::string text = sheet_line("calorimeter", calorimeter.kind.empty() ? "-" : calorimeter.kind);
  text += sheet_line(
      "constant", calorimeter.constant_J_per_K
                      ? amount(*calorimeter.constant_J_per_K, calorimeter.u_constant_J_per_K, "J/K")
                      : "from the trials for it");
  if (calorimeter.volume_mL) text += sheet_line("holds", amount(*calorimeter.volume_mL, {}, "mL"));
  return text;
}

std::string conventions_text(const std::optional<Conventions>& conventions) {
  std::string text;
  if (conventions && conventions->density_g_per_mL) {
    text += fmt::format("density {} g/mL for everything", *conventions->density_g_per_mL);
  }
  if (conventions && conventions->heat_capacity_J_per_g_K) {
    text += fmt::format("{}heat capacity {} J/(g K) for everything", text.empty() ? "" : ", ",
                        *conventions->heat_capacity_J_per_g_K);
  }
  return sheet_line("conventions", text.empty() ? "none, the program's own tables" : text);
}

std::string stock_text(const Stock& stock) {
  if (stock.concentration_mol_per_L) {
    return stock.substance.text + ", " +
           amount(*stock.concentration_mol_per_L, stock.u_concentration_mol_per_L, "mol/L");
  }
  return stock.substance.text + ", mass fraction " +
         fmt::format("{}{}", stock.mass_fraction.value_or(0.0),
                     stock.u_mass_fraction ? fmt::format(" (u {})", *stock.u_mass_fraction) : "");
}

std::string instrument_text(const Instrument& instrument) {
  std::string text;
  if (instrument.u_volume_mL) {
    text = fmt::format("u {} mL, calibrated {}", *instrument.u_volume_mL,
                       calibrated_text(instrument.calibrated));
  }
  if (instrument.u_mass_g) {
    text += fmt::format("{}u {} g", text.empty() ? "" : ", ", *instrument.u_mass_g);
  }
  return text.empty() ? "no uncertainty stated" : text;
}

std::string contents_text(const Sheet& sheet, const Contents& contents) {
  std::string text = contents.volume_mL
                         ? amount(*contents.volume_mL, contents.u_volume_mL, "mL")
                         : amount(contents.mass_g.value_or(0.0), contents.u_mass_g, "g");
  text += contents.stock ? " of stock " + sheet.stocks[*contents.stock].name
                         : " " + contents.substance_text;
  if (contents.instrument) text += " by " + sheet.instruments[*contents.instrument].name;
  if (contents.temperature_degC) {
    text += " at " + amount(*contents.temperature_degC, contents.u_temperature_K, unit_degC);
  }
  if (contents.read_at_degC) {
    text += fmt::format(", read at {} {}", *contents.read_at_degC, unit_degC);
  }
  if (contents.left_behind_mL) {
    text += ", less " + amount(*contents.left_behind_mL, contents.u_left_behind_mL, "mL") +
            " left behind";
  }
  if (contents.left_behind_g) {
    text +=
        ", less " + amount(*contents.left_behind_g, contents.u_left_behind_g, "g") + " left behind";
  }
  return text;
}

std::string trial_text(const Sheet& sheet, const SheetTrial& trial, bool colour) {
  const int repeats = trial.repeats.value_or(1);
  std::string text = cli::toned(fmt::format("trial {}", trial.name), cli::Tone::heading, colour) +
                     fmt::format(": {}, {}\n", purpose_text(trial.purpose),
                                 counted(static_cast<std::size_t>(repeats), "run"));
  if (trial.equation) text += sheet_line("equation", trial.equation->text);
  if (trial.cup) text += sheet_line("cup", contents_text(sheet, *trial.cup));
  if (trial.added) text += sheet_line("added", contents_text(sheet, *trial.added));
  if (const auto extent = planned_extent(sheet, trial)) {
    text += sheet_line("limiting", fmt::format("{}, {:.4g} mol of the equation as written",
                                               extent->limiting, extent->mol));
  }
  if (trial.reference_kJ_per_mol) {
    text += sheet_line("reference",
                       amount(*trial.reference_kJ_per_mol, trial.u_reference_kJ_per_mol, "kJ/mol"));
  }
  if (const auto& heater = trial.heater) {
    text +=
        sheet_line("heater", fmt::format("{}, {}, {}: {:.5g} J",
                                         amount(heater->voltage_V, heater->u_voltage_V, "V"),
                                         amount(heater->current_A, heater->u_current_A, "A"),
                                         amount(heater->time_s, heater->u_time_s, "s"),
                                         heater->voltage_V * heater->current_A * heater->time_s));
  }
  if (!trial.typed.empty()) text += sheet_line("on paper", counted(trial.typed.size(), "run"));
  return text;
}

std::string cycle_text(const Sheet& sheet, bool colour) {
  const Cycle& cycle = *sheet.cycle;
  std::string text = cli::toned("cycle", cli::Tone::heading, colour) + "\n" +
                     sheet_line("target", cycle.target.text);
  for (const std::size_t index : cycle.from)
    text += sheet_line("measured", sheet.trials[index].name);
  for (const Equation& equation : cycle.accepted) text += sheet_line("accepted", equation.text);
  if (cycle.accepted_kJ_per_mol) {
    text += sheet_line("compare with",
                       amount(*cycle.accepted_kJ_per_mol, cycle.u_accepted_kJ_per_mol, "kJ/mol"));
  }
  if (!cycle.base.empty()) text += sheet_line("base", cycle.base);
  return text;
}

}  // namespace

std::string sheet_page(const Sheet& sheet, bool colour) {
  std::string text = cli::toned(sheet.title, cli::Tone::heading, colour) + "\n";
  text += calorimeter_text(sheet.calorimeter) + conventions_text(sheet.conventions);
  for (const Stock& stock : sheet.stocks) {
    text += sheet_line("stock", stock.name + ": " + stock_text(stock));
  }
  for (const Instrument& instrument : sheet.instruments) {
    text += sheet_line("instrument", instrument.name + ": " + instrument_text(instrument));
  }
  for (const SheetTrial& trial : sheet.trials) text += trial_text(sheet, trial, colour);
  if (sheet.cycle) text += cycle_text(sheet, colour);
  text += cli::toned("cautions", cli::Tone::heading, colour) + "\n";
  for (const std::string& caution : cautions(sheet, Texts(Language::english)))
    text += "  " + caution + "\n";
  return text;
}

std::string sheet_counts(const Sheet& sheet) {
  std::string text = counted(sheet.trials.size(), "trial") + ", " +
                     counted(sheet.stocks.size(), "stock") + ", " +
                     counted(sheet.instruments.size(), "instrument");
  return sheet.cycle ? text + ", a cycle" : text;
}

}  // namespace nestcup
