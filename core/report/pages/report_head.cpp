// What the report is about: facts, cautions, and what the sheet says of trials and amounts.
#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "core/base/numbers.hpp"
#include "core/base/version.hpp"
#include "core/report/pages/report_parts.hpp"
#include "core/report/words/symbol_text.hpp"

namespace nestcup {

namespace {

int decimals_of(double value) {
  const std::string text = fmt::format("{}", value);
  const std::size_t point = text.find('.');
  return point == std::string::npos ? 0 : static_cast<int>(text.size() - point) - 1;
}

/// "100 mL", with u where the sheet states one; both have the decimals of the finer.
std::string amount_text(double value, std::optional<double> u, const std::string& unit,
                        const Texts& texts) {
  const int decimals = std::max(decimals_of(value), u ? decimals_of(*u) : 0);
  std::string text = fmt::format("{:.{}f}", value, decimals);
  if (u) text += fmt::format(" \xC2\xB1 {:.{}f}", *u, decimals);
  return texts.number(text) + "\xC2\xA0" + unit;
}

std::string contents_text(const std::optional<Contents>& contents, const Sheet& sheet,
                          const Texts& texts) {
  if (!contents) return "";
  const Contents& held = *contents;
  std::string what = held.stock       ? sheet.stocks[*held.stock].name
                     : held.substance ? chemistry_text(held.substance->text)
                                      : held.substance_text;
  std::string text = held.volume_mL
                         ? amount_text(*held.volume_mL, held.u_volume_mL, "mL", texts)
                         : amount_text(held.mass_g.value_or(0.0), held.u_mass_g, "g", texts);
  text += " " + what;
  if (held.temperature_degC) {
    text +=
        ", " + amount_text(*held.temperature_degC, held.u_temperature_K, unit_text("degC"), texts);
  }
  if (held.instrument) text += " (" + sheet.instruments[*held.instrument].name + ")";
  return text;
}

std::string heater_text(const Heater& heater, const Texts& texts) {
  return amount_text(heater.voltage_V, heater.u_voltage_V, "V", texts) + ", " +
         amount_text(heater.current_A, heater.u_current_A, "A", texts) + ", " +
         amount_text(heater.time_s, heater.u_time_s, "s", texts);
}

Table trials_table(const ReportWork& work) {
  const Texts& texts = work.texts;
  Table table;
  table.title = texts["head.trials_title"];
  table.key = "trials";
  table.columns = {{texts["head.trial"], false},
                   {texts["head.purpose"], false},
                   {texts["head.cup"], false},
                   {texts["head.added"], false}};
  for (const SheetTrial& trial : work.input.sheet.trials) {
    const Cell purpose(texts["purpose." + text_name(purpose_text(trial.purpose))],
                       trial.equation ? chemistry_text(trial.equation->text) : "");
    table.rows.push_back({trial.name, purpose, contents_text(trial.cup, work.input.sheet, texts),
                          trial.heater ? heater_text(*trial.heater, texts)
                                       : contents_text(trial.added, work.input.sheet, texts)});
  }
  table.note = texts["head.u_note"];
  return table;
}

std::string strength_text(const Stock& stock, const Texts& texts) {
  return stock.concentration_mol_per_L
             ? amount_text(*stock.concentration_mol_per_L, stock.u_concentration_mol_per_L, "mol/L",
                           texts)
             : amount_text(stock.mass_fraction.value_or(0.0), stock.u_mass_fraction, "g/g", texts);
}

/// Stocks and instruments: what trials share.
Table supplies_table(const ReportWork& work) {
  const Texts& texts = work.texts;
  Table table;
  table.title = texts["head.supplies_title"];
  table.key = "supplies";
  table.columns = {
      {texts["head.name"], false}, {texts["head.what"], false}, {texts["head.figure"], false}};
  for (const Stock& stock : work.input.sheet.stocks) {
    table.rows.push_back(
        {stock.name, chemistry_text(stock.substance.text), strength_text(stock, texts)});
  }
  for (const Instrument& instrument : work.input.sheet.instruments) {
    std::string figure;
    if (instrument.u_volume_mL) {
      figure = "u = " + amount_text(*instrument.u_volume_mL, {}, "mL", texts);
    }
    if (instrument.u_mass_g) {
      if (!figure.empty()) figure += ", ";
      figure += "u = " + amount_text(*instrument.u_mass_g, {}, "g", texts);
    }
    const bool contains = instrument.calibrated == Calibrated::to_contain;
    table.rows.push_back(
        {instrument.name, texts[contains ? "head.to_contain" : "head.to_deliver"], figure});
  }
  return table;
}

/// Days and benches of the runs, each once.
std::string when_and_where(const ReportWork& work) {
  std::set<std::string> days, benches;
  for (const ReportRun& run : work.input.runs) {
    if (run.record.at("started_at").is_string()) {
      days.insert(run.record.at("started_at").get<std::string>().substr(0, 10));
    }
    if (run.record.at("bench").is_string()) benches.insert(run.record.at("bench"));
  }
  std::string text;
  for (const auto& names : {days, benches}) {
    for (const std::string& name : names) text += (text.empty() ? "" : ", ") + name;
  }
  return text;
}

}  // namespace

void add_head(const ReportWork& work) {
  const Texts& texts = work.texts;
  const Sheet& sheet = work.input.sheet;
  std::string facts = when_and_where(work);
  if (!work.options.by.empty()) facts = work.options.by + (facts.empty() ? "" : "; ") + facts;
  if (!facts.empty()) work.document.add(Paragraph{facts});
  if (!work.input.cautions.empty()) {
    work.document.add(Cautions{texts["head.cautions"], work.input.cautions});
  }
  work.document.add(Heading{2, texts["head.heading"]});
  if (!sheet.calorimeter.kind.empty()) {
    work.document.add(
        Paragraph{texts.fill("head.calorimeter", {{"kind", sheet.calorimeter.kind}})});
  }
  work.document.add(trials_table(work));
  if (!sheet.stocks.empty() || !sheet.instruments.empty()) {
    work.document.add(supplies_table(work));
  }
}

}  // namespace nestcup
