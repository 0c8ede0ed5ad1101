#include "core/matter/accepted_table.hpp"

#include <fmt/format.h>
#include <toml++/toml.h>

#include <algorithm>
#include <utility>

namespace nestcup {

namespace {

using Keys = std::vector<std::string_view>;

/// Reads on after a problem, with nothing in the place of what is wrong, and keeps the first one.
class TableReader {
 public:
  AcceptedTable read(const toml::table& file);
  [[nodiscard]] const std::optional<Error>& problem() const { return problem_; }

 private:
  void refuse(const toml::node& node, std::string_view what) {
    if (problem_) return;
    problem_ =
        Error{Fault::bad_data, fmt::format("accepted.toml:{}: {}", node.source().begin.line, what)};
  }
  void refuse_other_keys(const toml::table& table, const Keys& known);
  const toml::node* needed(const toml::table& table, std::string_view key);
  std::string text(const toml::table& table, std::string_view key);
  std::string text(const toml::node& node);
  double number(const toml::node& node);
  std::optional<double> positive(const toml::node* node);
  std::string species(const toml::node& node);
  std::vector<std::string> texts(const toml::table& table, std::string_view key);
  /// The rows of a list of lists that have `shortest` to `longest` cells.
  std::vector<const toml::array*> rows(const toml::table& table, std::string_view key,
                                       std::size_t shortest, std::size_t longest);
  std::vector<const toml::table*> tables(const toml::table& table, std::string_view key);
  AcceptedBase base(const toml::table& table);
  KnownReaction reaction(const toml::table& table);
  void heat_capacities(const toml::table& table, AcceptedTable& into);

  std::optional<Error> problem_;
};

void TableReader::refuse_other_keys(const toml::table& table, const Keys& known) {
  for (const auto& [key, node] : table) {
    if (std::find(known.begin(), known.end(), key.str()) == known.end()) {
      refuse(node, fmt::format("{} is no key of this table", key.str()));
    }
  }
}

const toml::node* TableReader::needed(const toml::table& table, std::string_view key) {
  const toml::node* const node = table.get(key);
  if (node == nullptr) refuse(table, fmt::format("{} is missing", key));
  return node;
}

std::string TableReader::text(const toml::node& node) {
  const auto found = node.value<std::string>();
  if (!found || found->empty()) refuse(node, "a text should stand here");
  return found.value_or("");
}

std::string TableReader::text(const toml::table& table, std::string_view key) {
  const toml::node* const node = needed(table, key);
  return node == nullptr ? "" : text(*node);
}

double TableReader::number(const toml::node& node) {
  const auto found = node.value<double>();
  if (!found) refuse(node, "a number should stand here");
  return found.value_or(0.0);
}

std::optional<double> TableReader::positive(const toml::node* node) {
  if (node == nullptr) return std::nullopt;
  const double found = number(*node);
  if (!(found > 0.0)) refuse(*node, "a number above 0 should stand here");
  return found;
}

/// A species by its canonical formula, which is also how it has to be written.
std::string TableReader::species(const toml::node& node) {
  const auto formula = parse_formula(text(node));
  if (!formula) {
    refuse(node, formula.error().text);
    return "";
  }
  if (!formula->phase) refuse(node, formula->text + " has no phase");
  if (formula->text != text(node)) refuse(node, "write this as " + formula->text);
  return formula->text;
}

std::vector<std::string> TableReader::texts(const toml::table& table, std::string_view key) {
  std::vector<std::string> found;
  if (const toml::array* const list = table[key].as_array()) {
    for (const toml::node& node : *list) found.push_back(text(node));
  }
  return found;
}

std::vector<const toml::array*> TableReader::rows(const toml::table& table, std::string_view key,
                                                  std::size_t shortest, std::size_t longest) {
  std::vector<const toml::array*> found;
  const toml::node* const node = needed(table, key);
  if (node == nullptr || node->as_array() == nullptr) return found;
  for (const toml::node& row : *node->as_array()) {
    const toml::array* const cells = row.as_array();
    if (cells == nullptr || cells->size() < shortest || cells->size() > longest) {
      refuse(row, fmt::format("a list of {} to {} cells should stand here", shortest, longest));
    } else {
      found.push_back(cells);
    }
  }
  return found;
}

std::vector<const toml::table*> TableReader::tables(const toml::table& table,
                                                    std::string_view key) {
  std::vector<const toml::table*> found;
  const toml::node* const node = needed(table, key);
  if (node == nullptr || node->as_array() == nullptr) return found;
  for (const toml::node& each : *node->as_array()) {
    if (each.as_table() != nullptr) found.push_back(each.as_table());
  }
  return found;
}

AcceptedBase TableReader::base(const toml::table& table) {
  refuse_other_keys(table, {"name", "source", "note", "completed_by", "formation"});
  AcceptedBase found;
  found.name = text(table, "name");
  found.source = fmt::format("{} ({})", text(table, "source"), text(table, "note"));
  found.completed_by = texts(table, "completed_by");
  for (const toml::array* const row : rows(table, "formation", 2, 3)) {
    AcceptedValue value{number(*row->get(1))};
    // A range holds about 95 %, which is two standard uncertainties.
    if (const auto range = positive(row->get(2))) value.u_kJ_per_mol = *range / 2.0;
    if (!found.formation.emplace(species(*row->get(0)), value).second) refuse(*row, "told twice");
  }
  return found;
}

KnownReaction TableReader::reaction(const toml::table& table) {
  refuse_other_keys(table, {"equation", "kJ_per_mol", "u_kJ_per_mol", "molality_mol_per_kg",
                            "at_degC", "conditions", "source"});
  KnownReaction found;
  auto equation = balanced_equation(text(table, "equation"));
  if (equation) {
    found.equation = std::move(equation).value();
  } else {
    refuse(table, equation.error().text);
  }
  if (const toml::node* const value = needed(table, "kJ_per_mol")) {
    found.value.kJ_per_mol = number(*value);
  }
  found.value.u_kJ_per_mol = positive(table.get("u_kJ_per_mol"));
  found.molality_mol_per_kg = positive(table.get("molality_mol_per_kg"));
  if (const toml::node* const at = table.get("at_degC")) found.at_degC = number(*at);
  found.conditions = text(table, "conditions");
  found.source = text(table, "source");
  return found;
}

void TableReader::heat_capacities(const toml::table& table, AcceptedTable& into) {
  refuse_other_keys(table, {"source", "J_per_mol_K"});
  into.heat_capacity_source = text(table, "source");
  for (const toml::array* const row : rows(table, "J_per_mol_K", 2, 2)) {
    const auto [at, is_new] =
        into.heat_capacity_J_per_mol_K.emplace(species(*row->get(0)), number(*row->get(1)));
    if (!is_new) refuse(*row, at->first + " is told twice");
  }
}

AcceptedTable TableReader::read(const toml::table& file) {
  refuse_other_keys(file, {"zero", "base", "heat_capacities", "reaction"});
  AcceptedTable table;
  if (const toml::node* const zero = needed(file, "zero"); zero != nullptr && zero->is_array()) {
    for (const toml::node& node : *zero->as_array()) table.zero.push_back(species(node));
  }
  for (const toml::table* const each : tables(file, "base")) table.bases.push_back(base(*each));
  for (const toml::table* const each : tables(file, "reaction")) {
    table.reactions.push_back(reaction(*each));
  }
  const toml::node* const capacities = needed(file, "heat_capacities");
  if (capacities != nullptr && capacities->is_table()) {
    heat_capacities(*capacities->as_table(), table);
  }
  return table;
}

}  // namespace

Result<AcceptedTable> parse_accepted(std::string_view toml) {
  try {
    TableReader reader;
    AcceptedTable table = reader.read(toml::parse(toml));
    if (reader.problem()) return *reader.problem();
    return table;
  } catch (const toml::parse_error& wrong) {
    return Error{Fault::bad_data, fmt::format("accepted.toml:{}: {}", wrong.source().begin.line,
                                              wrong.description())};
  }
}

const Result<AcceptedTable>& accepted_table() {
  static const Result<AcceptedTable> table = parse_accepted(accepted_file_text());
  return table;
}

}  // namespace nestcup
