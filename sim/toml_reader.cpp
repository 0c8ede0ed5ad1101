#include "sim/toml_reader.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

namespace nestcup::sim {

void Problems::add(std::size_t line, const std::string& text) {
  lines_.push_back({line, text});
}

std::string Problems::text() const {
  std::vector<Entry> sorted = lines_;
  std::stable_sort(sorted.begin(), sorted.end(),
                   [](const Entry& a, const Entry& b) { return a.line < b.line; });
  std::string all;
  for (const Entry& entry : sorted) {
    if (!all.empty()) all += '\n';
    all += fmt::format("{}:{}: {}", file_, entry.line, entry.text);
  }
  return all;
}

TableReader::TableReader(const toml::table& table, std::string name, Problems& problems)
    : table_(table), name_(std::move(name)), problems_(problems) {}

std::string TableReader::label(const std::string& key) const {
  return name_.empty() ? key : name_ + "." + key;
}

const toml::node* TableReader::find(const std::string& key, bool required) {
  known_.insert(key);
  const toml::node* const node = table_.get(key);
  if (node == nullptr && required) {
    problems_.add(table_.source().begin.line, label(key) + ": missing");
  }
  return node;
}

void TableReader::complain(const std::string& key, const std::string& text) {
  const toml::node* const node = table_.get(key);
  const auto& source = node != nullptr ? node->source() : table_.source();
  problems_.add(source.begin.line, label(key) + ": " + text);
}

double TableReader::number(const std::string& key, Bounds bounds, std::optional<double> fallback) {
  const toml::node* const node = find(key, !fallback);
  if (node == nullptr) return fallback.value_or(0.0);
  const std::optional<double> value = node->value<double>();
  if (!node->is_number() || !value || !std::isfinite(*value)) {
    complain(key, "expected a number");
    return fallback.value_or(0.0);
  }
  if (*value < bounds.least || *value > bounds.most) {
    complain(key, fmt::format("{} is not between {} and {}", *value, bounds.least, bounds.most));
  }
  return *value;
}

double TableReader::lag(const std::string& key, std::optional<double> fallback) {
  const double value = number(key, {0.0, 1e5}, fallback);
  if (value > 0.0 && value < 0.05) complain(key, "expected 0 or at least 0.05 s");
  return value;
}

std::int64_t TableReader::whole(const std::string& key, std::int64_t least, std::int64_t fallback) {
  const toml::node* const node = find(key, false);
  if (node == nullptr) return fallback;
  const std::optional<std::int64_t> value =
      node->is_integer() ? node->value<std::int64_t>() : std::nullopt;
  if (!value || *value < least) {
    complain(key, fmt::format("expected a whole number of at least {}", least));
    return fallback;
  }
  return *value;
}

std::string TableReader::text(const std::string& key, std::optional<std::string> fallback) {
  const toml::node* const node = find(key, !fallback);
  if (node == nullptr) return fallback.value_or("");
  const std::optional<std::string> value = node->value<std::string>();
  if (!value) complain(key, "expected a text in quotes");
  return value.value_or(fallback.value_or(""));
}

std::size_t TableReader::choice(const std::string& key, std::span<const std::string_view> names,
                                std::size_t fallback) {
  if (!has(key)) {
    known_.insert(key);
    return fallback;
  }
  const std::string value = text(key);
  const auto found = std::find(names.begin(), names.end(), value);
  if (found != names.end()) return static_cast<std::size_t>(found - names.begin());
  complain(key, fmt::format("expected one of {}", fmt::join(names, ", ")));
  return fallback;
}

bool TableReader::flag(const std::string& key, bool fallback) {
  const toml::node* const node = find(key, false);
  if (node == nullptr) return fallback;
  if (!node->is_boolean()) complain(key, "expected true or false");
  return node->value<bool>().value_or(fallback);
}

std::vector<std::string> TableReader::texts(const std::string& key) {
  std::vector<std::string> all;
  const toml::node* const node = find(key, false);
  if (node == nullptr) return all;
  if (!node->is_array()) {
    complain(key, "expected a list of texts");
    return all;
  }
  for (const toml::node& item : *node->as_array()) {
    const std::optional<std::string> value = item.value<std::string>();
    if (!value) complain(key, "expected a list of texts");
    all.push_back(value.value_or(""));
  }
  return all;
}

const toml::table* TableReader::table(const std::string& key) {
  const toml::node* const node = find(key, false);
  if (node == nullptr) return nullptr;
  if (!node->is_table()) complain(key, "expected a table");
  return node->as_table();
}

std::vector<const toml::table*> TableReader::tables(const std::string& key) {
  std::vector<const toml::table*> all;
  const toml::node* const node = find(key, false);
  if (node == nullptr) return all;
  if (!node->is_array()) {
    complain(key, fmt::format("expected tables [[{}]]", label(key)));
    return all;
  }
  for (const toml::node& item : *node->as_array()) {
    if (item.is_table()) {
      all.push_back(item.as_table());
    } else {
      complain(key, fmt::format("expected tables [[{}]]", label(key)));
    }
  }
  return all;
}

void TableReader::finish() {
  for (const auto& [key, node] : table_) {
    const std::string name{key.str()};
    if (known_.count(name) == 0) {
      problems_.add(key.source().begin.line, label(name) + ": unknown key");
    }
  }
}

}  // namespace nestcup::sim
