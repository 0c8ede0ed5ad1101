// nestcup accepted: what the tables say about a reaction's enthalpy.
#include "core/matter/accepted.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <nlohmann/json.hpp>
#include <string>
#include <vector>

#include "core/base/uncertain_text.hpp"
#include "tools/cli/output.hpp"
#include "tools/cli/parsed.hpp"
#include "tools/cli/text_layout.hpp"
#include "tools/commands.hpp"
#include "tools/place.hpp"

namespace nestcup {
namespace {

using Json = nlohmann::ordered_json;

Json or_null(std::optional<double> number) {
  return number ? Json(*number) : Json(nullptr);
}

Json value_json(const AcceptedValue& value) {
  return {{"value", value.kJ_per_mol}, {"u", or_null(value.u_kJ_per_mol)}};
}

Json accepted_json(const Equation& equation, const AcceptedEnthalpy& accepted) {
  Json json{{"equation", equation.text},
            {"delta_H_kJ_per_mol", value_json(accepted.value)},
            {"base", accepted.base},
            {"mixed_bases", accepted.mixed},
            {"at_degC", accepted.at_degC},
            {"infinite_dilution", accepted.infinite_dilution},
            {"delta_Cp_J_per_mol_K", or_null(accepted.delta_Cp_J_per_mol_K)},
            {"sources", accepted.sources},
            {"reactions", Json::array()},
            {"other_bases", Json::array()}};
  for (const AcceptedReaction& reaction : accepted.reactions) {
    json["reactions"].push_back({{"equation", reaction.equation},
                                 {"multiplier", rational_text(reaction.multiplier)},
                                 {"delta_H_kJ_per_mol", value_json(reaction.value)},
                                 {"molality_mol_per_kg", or_null(reaction.molality_mol_per_kg)},
                                 {"at_degC", reaction.at_degC},
                                 {"conditions", reaction.conditions},
                                 {"source", reaction.source}});
  }
  for (const AcceptedAlternative& other : accepted.other_bases) {
    json["other_bases"].push_back({{"base", other.base},
                                   {"delta_H_kJ_per_mol", value_json(other.value)},
                                   {"sources", other.sources}});
  }
  return json;
}

/// Without an uncertainty the value has the tables' digits, no more.
std::string value_text(const AcceptedValue& value) {
  if (value.u_kJ_per_mol) {
    return uncertain_text({value.kJ_per_mol, *value.u_kJ_per_mol}, "kJ/mol");
  }
  return fmt::format("{:.2f} kJ/mol, u not known", value.kJ_per_mol);
}

std::string head_text(const Equation& equation, const AcceptedEnthalpy& accepted) {
  std::string text = equation.text + "\n";
  text += fmt::format("{}, at {} degC{}, from {}\n", value_text(accepted.value), accepted.at_degC,
                      accepted.infinite_dilution ? ", infinite dilution" : "", accepted.base);
  if (accepted.mixed) {
    text += cli::wrapped(
        "No base has all species: these are not quite consistent with each other, "
        "and the sum may be off by more than u.",
        0);
  }
  if (const auto change = accepted.delta_Cp_J_per_mol_K) {
    text += cli::wrapped(fmt::format("Heat capacity of reaction {:.1f} J/(mol K): 10 K warmer, the "
                                     "value changes by {:+.2f} kJ/mol.",
                                     *change, *change / 100.0),
                         0);
  }
  return text;
}

/// Sources in the order of their first mention, each once.
class SourceList {
 public:
  /// @return the number that stands for the source
  std::size_t number_of(const std::string& source) {
    const auto found = std::find(sources_.begin(), sources_.end(), source);
    if (found != sources_.end()) return static_cast<std::size_t>(found - sources_.begin()) + 1;
    sources_.push_back(source);
    return sources_.size();
  }

  [[nodiscard]] std::string text() const {
    std::string text = "\nSources:\n";
    for (std::size_t i = 0; i < sources_.size(); ++i) {
      text += cli::hanging(fmt::format("  [{}]", i + 1), sources_[i], 7);
    }
    return text;
  }

 private:
  std::vector<std::string> sources_;
};

std::string reactions_text(const AcceptedEnthalpy& accepted, SourceList& sources) {
  if (accepted.reactions.empty()) return "";
  std::string text = "\nMeasured or computed for this reaction:\n";
  bool finite = false;
  for (const AcceptedReaction& reaction : accepted.reactions) {
    text += cli::wrapped(
        fmt::format("{} at {} degC, {} [{}]", value_text(reaction.value), reaction.at_degC,
                    reaction.conditions, sources.number_of(reaction.source)),
        2);
    finite = finite || reaction.molality_mol_per_kg.has_value();
  }
  if (finite && accepted.infinite_dilution) {
    text += "Compare a trial with the value at its own concentration.\n";
  }
  return text;
}

std::string accepted_text(const Equation& equation, const AcceptedEnthalpy& accepted) {
  SourceList sources;
  for (const std::string& source : accepted.sources) sources.number_of(source);
  std::string text = head_text(equation, accepted) + reactions_text(accepted, sources);
  if (!accepted.other_bases.empty()) text += "\nBy other bases:\n";
  for (const AcceptedAlternative& other : accepted.other_bases) {
    std::string numbers;
    for (const std::string& source : other.sources) {
      numbers += fmt::format(" [{}]", sources.number_of(source));
    }
    text += fmt::format("  {}, from {}{}\n", value_text(other.value), other.base, numbers);
  }
  return text + sources.text();
}

int run_accepted(const cli::Parsed& parsed, cli::Streams& streams) {
  const auto equation = balanced_equation(parsed.text("EQUATION").value_or(""));
  if (!equation) return cli::report_error(streams, equation.error());
  const auto accepted = accepted_enthalpy(*equation, parsed.text("base"));
  if (!accepted) return cli::report_error(streams, accepted.error());
  if (parsed.flag("json")) {
    streams.out << accepted_json(*equation, *accepted).dump() << '\n';
  } else {
    streams.out << accepted_text(*equation, *accepted);
  }
  return 0;
}

}  // namespace

cli::CommandSpec accepted_command() {
  cli::CommandSpec command;
  command.name = "accepted";
  command.summary = "print the accepted enthalpy of a reaction";
  command.description = {
      "Sums enthalpies of formation for the equation as written, from a table of published values "
      "that is part of the program, and says from which base. Dissolved species count at infinite "
      "dilution; where values at finite concentration are known, they stand beside: for 1 mol/kg "
      "hydrochloric acid and sodium hydroxide it is -57.5, not -55.8 kJ/mol. Where other bases "
      "differ, their sums are printed, too. u is a standard uncertainty (k = 1).",
      "Write phases behind each species: (s), (l), (g) or (aq). Charges stand behind the sign or a "
      "caret: Mg+2(aq) or Mg^2+(aq). Strong acids, bases and salts in solution count as their "
      "ions."};
  command.options = {
      {.name = "base",
       .value_name = "NAME",
       .help = "the base to ask first, or the beginning of its name",
       .complete = {cli::Hint::words, {"CODATA", "NBS", "NEA", "JANAF", "ThermoChimie"}}},
      json_option()};
  command.arguments = {{"EQUATION", "the balanced equation, in quotation marks", 1, 1, {}}};
  command.examples = {
      {"nestcup accepted \"HCl(aq) + NaOH(aq) -> NaCl(aq) + H2O(l)\"", "neutralisation"},
      {"nestcup accepted \"MgO(s) + 2 H+(aq) -> Mg+2(aq) + H2O(l)\" --json",
       "magnesium oxide in acid, for scripts"},
      {"nestcup accepted --base JANAF \"MgSO4(s) -> MgSO4(aq)\"",
       "by a base that differs from the one asked first"}};
  command.exit_notes = {{65, "the equation cannot be read or does not balance"},
                        {66, "the table has no value for it; the species are named"}};
  command.run = run_accepted;
  return command;
}

}  // namespace nestcup
