#include "core/sheet/toml_section.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "core/base/nearest.hpp"

namespace nestcup {

namespace {

/// What a value is, in words a person would use.
std::string_view type_text(const toml::node& node) {
  switch (node.type()) {
    case toml::node_type::string:
      return "a text";
    case toml::node_type::integer:
      return "a whole number";
    case toml::node_type::floating_point:
      return "a number";
    case toml::node_type::boolean:
      return "true or false";
    case toml::node_type::array:
      return "a list";
    case toml::node_type::table:
      return "a table";
    default:
      return "a date or time";
  }
}

/// Is `key` no more than `name` with a unit behind it?
bool lacks_unit(std::string_view name, std::string_view key) {
  return key.size() > name.size() && key.starts_with(name) && key[name.size()] == '_';
}

}  // namespace

void ProblemList::add(std::size_t line, std::string_view text) {
  std::string problem = fmt::format("{}:{}: {}", path_, line, text);
  // A problem is one line, whatever a name out of the file contains.
  const auto is_control = [](unsigned char byte) { return byte < 0x20 || byte == 0x7f; };
  std::replace_if(problem.begin(), problem.end(), is_control, '?');
  found_.push_back({line, std::move(problem)});
}

std::vector<Error> ProblemList::in_order() const {
  std::vector<Problem> sorted = found_;
  std::stable_sort(sorted.begin(), sorted.end(),
                   [](const Problem& a, const Problem& b) { return a.line < b.line; });
  std::vector<Error> errors;
  for (Problem& problem : sorted) errors.push_back({kind_, std::move(problem.text)});
  return errors;
}

TomlSection::TomlSection(const toml::table& table, std::string label, ProblemList& problems,
                         std::string key_prefix)
    : table_(&table),
      label_(std::move(label)),
      problems_(&problems),
      key_prefix_(std::move(key_prefix)) {}

bool TomlSection::is_known(std::string_view key) const {
  return std::find(known_.begin(), known_.end(), key) != known_.end();
}

const toml::node* TomlSection::value(std::string_view key) {
  if (!is_known(key)) known_.emplace_back(key);
  return table_->get(key);
}

bool TomlSection::has_or_lacks_unit(std::string_view key) const {
  if (has(key)) return true;
  for (const auto& [name, node] : *table_) {
    if (!is_known(name.str()) && lacks_unit(name.str(), key)) return true;
  }
  return false;
}

std::size_t TomlSection::line() const {
  return std::max<std::size_t>(table_->source().begin.line, 1);
}

std::size_t TomlSection::line_of(std::string_view key) const {
  const auto found = table_->find(key);
  const auto& source = found == table_->end() ? table_->source() : found->first.source();
  return std::max<std::size_t>(source.begin.line, 1);
}

void TomlSection::problem(std::string_view key, std::string_view text) {
  problems_->add(line_of(key), fmt::format("{}{}{}{}: {}", label_, label_.empty() ? "" : " ",
                                           key_prefix_, key, text));
}

void TomlSection::refuse(std::string_view key, std::string_view text) {
  (void)value(key);
  problem(key, text);
}

void TomlSection::problem(std::string_view text) {
  const std::string_view prefix = key_prefix_;
  const std::string own_key{prefix.substr(0, prefix.empty() ? 0 : prefix.size() - 1)};
  const std::string where = label_ + (label_.empty() || own_key.empty() ? "" : " ") + own_key;
  problems_->add(line(), where.empty() ? std::string(text) : fmt::format("{}: {}", where, text));
}

void TomlSection::wrong_type(std::string_view key, const toml::node& found,
                             std::string_view wanted) {
  problem(key, fmt::format("is {}, expected {}", type_text(found), wanted));
}

std::optional<std::string> TomlSection::text(std::string_view key) {
  const toml::node* const node = value(key);
  if (node == nullptr) return std::nullopt;
  if (const auto* const found = node->as_string()) return found->get();
  wrong_type(key, *node, "a text in quotation marks");
  return std::nullopt;
}

std::optional<double> TomlSection::in_range(std::string_view key, double number,
                                            NumberRange range) {
  const bool high_enough = range.above_lowest ? number > range.lowest : number >= range.lowest;
  if (high_enough && number <= range.highest) return number;  // false for NaN as well
  problem(key,
          fmt::format("is {}, expected {} {} and at most {}", number,
                      range.above_lowest ? "more than" : "at least", range.lowest, range.highest));
  return std::nullopt;
}

std::optional<double> TomlSection::number(std::string_view key, NumberRange range) {
  const toml::node* const node = value(key);
  if (node == nullptr) return std::nullopt;
  if (node->is_number()) return in_range(key, *node->value<double>(), range);
  wrong_type(key, *node, "a number without quotation marks, with a decimal point");
  return std::nullopt;
}

std::optional<int> TomlSection::whole(std::string_view key, int lowest, int highest) {
  const toml::node* const node = value(key);
  if (node == nullptr) return std::nullopt;
  const auto* const found = node->as_integer();
  if (found == nullptr) {
    wrong_type(key, *node, "a whole number");
    return std::nullopt;
  }
  const NumberRange range{static_cast<double>(lowest), static_cast<double>(highest)};
  if (!in_range(key, static_cast<double>(found->get()), range)) return std::nullopt;
  return static_cast<int>(found->get());
}

std::optional<bool> TomlSection::flag(std::string_view key) {
  const toml::node* const node = value(key);
  if (node == nullptr) return std::nullopt;
  if (const auto* const found = node->as_boolean()) return found->get();
  wrong_type(key, *node, "true or false without quotation marks");
  return std::nullopt;
}

std::optional<std::size_t> TomlSection::choice(std::string_view key,
                                               std::span<const std::string> known) {
  const auto word = text(key);
  if (!word) return std::nullopt;
  const auto found = std::find(known.begin(), known.end(), *word);
  if (found != known.end()) return static_cast<std::size_t>(found - known.begin());
  const auto meant = nearest(*word, known);
  problem(key, fmt::format("\"{}\" is not known here, expected {}{}", *word, listed(known),
                           meant ? fmt::format("; did you mean \"{}\"?", *meant) : ""));
  return std::nullopt;
}

std::vector<std::string> TomlSection::texts(std::string_view key) {
  std::vector<std::string> found;
  const toml::array* const list = array(key);
  if (list == nullptr) return found;
  for (const toml::node& node : *list) {
    if (const auto* const text = node.as_string()) {
      found.push_back(text->get());
    } else {
      problem(key, fmt::format("holds {}, expected texts in quotation marks", type_text(node)));
    }
  }
  return found;
}

std::optional<TomlSection> TomlSection::table(std::string_view key) {
  const toml::node* const node = value(key);
  if (node == nullptr) return std::nullopt;
  if (const auto* const found = node->as_table()) {
    if (label_.empty()) return TomlSection(*found, fmt::format("[{}]", key), *problems_);
    return TomlSection(*found, label_, *problems_, fmt::format("{}{}.", key_prefix_, key));
  }
  wrong_type(key, *node,
             label_.empty() ? fmt::format("one table, [{}]", key) : "a table in curly brackets");
  return std::nullopt;
}

std::vector<TomlSection> TomlSection::tables(std::string_view key) {
  std::vector<TomlSection> found;
  const toml::node* const node = value(key);
  if (node == nullptr) return found;
  const toml::array* const list = node->as_array();
  const auto is_table = [](const toml::node& entry) { return entry.is_table(); };
  if (list == nullptr || !std::all_of(list->begin(), list->end(), is_table)) {
    wrong_type(key, *node, fmt::format("tables in double square brackets, [[{}]]", key));
    return found;
  }
  for (const toml::node& entry : *list) {
    found.emplace_back(*entry.as_table(), fmt::format("[[{}]]", key), *problems_);
  }
  return found;
}

std::vector<TomlSection> TomlSection::one_or_more(std::string_view key) {
  std::vector<TomlSection> found;
  const toml::node* const node = value(key);
  if (node == nullptr) return found;
  if (const toml::table* const table = node->as_table()) {
    found.emplace_back(*table, label_, *problems_, fmt::format("{}{}.", key_prefix_, key));
    return found;
  }
  const toml::array* const list = node->as_array();
  if (list == nullptr) {
    wrong_type(key, *node, "a table in curly brackets, or a list of them");
    return found;
  }
  for (const toml::node& entry : *list) {
    const std::string prefix = fmt::format("{}{}[{}].", key_prefix_, key, found.size() + 1);
    if (const toml::table* const table = entry.as_table()) {
      found.emplace_back(*table, label_, *problems_, prefix);
    } else {
      wrong_type(key, entry, "a list of tables in curly brackets");
      return {};
    }
  }
  return found;
}

const toml::array* TomlSection::array(std::string_view key) {
  const toml::node* const node = value(key);
  if (node == nullptr) return nullptr;
  if (const toml::array* const list = node->as_array()) return list;
  wrong_type(key, *node, "a list in square brackets");
  return nullptr;
}

std::string TomlSection::required_text(std::string_view key, std::string_view hint) {
  const bool there = has(key);
  const auto found = text(key);
  if (!there) problem(key, fmt::format("is missing, expected {}", hint));
  if (found && found->empty()) problem(key, fmt::format("is empty, expected {}", hint));
  return found.value_or("");
}

std::optional<std::size_t> TomlSection::required_choice(std::string_view key,
                                                        std::span<const std::string> known) {
  const bool there = has(key);
  const auto found = choice(key, known);
  if (!there) problem(key, fmt::format("is missing, expected {}", listed(known)));
  return found;
}

double TomlSection::required_number(std::string_view key, NumberRange range) {
  const bool there = has_or_lacks_unit(key);
  const auto found = number(key, range);
  if (!there) problem(key, "is missing, expected a number");
  return found.value_or(0.0);
}

void TomlSection::refuse_other_keys() {
  for (const auto& [key, node] : *table_) {
    const std::string_view name = key.str();
    if (is_known(name)) continue;
    const auto with_unit = std::find_if(known_.begin(), known_.end(), [name](const auto& known) {
      return lacks_unit(name, known);
    });
    if (with_unit != known_.end()) {
      problem(name, fmt::format("has no unit here; did you mean {}?", *with_unit));
      continue;
    }
    const auto meant = nearest(name, known_);
    problem(name,
            meant ? fmt::format("is not known here; did you mean {}?", *meant)
                  : fmt::format("is not known here, expected one of {}", fmt::join(known_, ", ")));
  }
}

}  // namespace nestcup
