#include "drivers/protocol/senml_pack.hpp"

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

namespace nestcup::drivers {
namespace {

using Json = nlohmann::json;

constexpr int newest_version = 10;  // RFC 8428, section 4.1

// RFC 8428, section 4.5.1: A-Z a-z 0-9 - : . / _, and a letter or digit in front.
bool is_senml_name(std::string_view name) {
  const auto is_alphanumeric = [](char c) {
    return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z') || (c >= '0' && c <= '9');
  };
  const auto is_allowed = [&](char c) {
    return is_alphanumeric(c) || std::string_view("-:./_").find(c) != std::string_view::npos;
  };
  return !name.empty() && is_alphanumeric(name.front()) &&
         std::all_of(name.begin(), name.end(), is_allowed);
}

/// The base fields in force.
struct Base {
  std::string name;
  std::string unit;
  double time_s = 0.0;
  double value = 0.0;
};

// Takes a field where it is there. False: it is of the wrong kind.
bool take_number(const Json& record, const char* key, std::optional<double>& number) {
  const auto found = record.find(key);
  if (found == record.end()) return true;
  if (!found->is_number()) return false;
  number = found->get<double>();
  return true;
}

bool take_text(const Json& record, const char* key, std::optional<std::string>& text) {
  const auto found = record.find(key);
  if (found == record.end()) return true;
  if (!found->is_string()) return false;
  text = found->get<std::string>();
  return true;
}

bool is_understood(const Json& record) {
  if (!record.is_object()) return false;
  const auto version = record.find("bver");
  if (version != record.end() &&
      !(version->is_number() && version->get<double>() <= newest_version)) {
    return false;
  }
  return std::none_of(record.items().begin(), record.items().end(),
                      [](const auto& field) { return field.key().ends_with('_'); });
}

bool take_base(const Json& record, Base& base) {
  std::optional<std::string> name, unit;
  std::optional<double> time_s, value;
  if (!take_text(record, "bn", name) || !take_text(record, "bu", unit) ||
      !take_number(record, "bt", time_s) || !take_number(record, "bv", value)) {
    return false;
  }
  base.name = name.value_or(base.name);
  base.unit = unit.value_or(base.unit);
  base.time_s = time_s.value_or(base.time_s);
  base.value = value.value_or(base.value);
  return true;
}

std::variant<SenmlRecord, LineFault> resolved(const Json& record, const Base& base) {
  std::optional<std::string> name, unit;
  std::optional<double> time_s, value;
  if (!take_text(record, "n", name) || !take_text(record, "u", unit) ||
      !take_number(record, "t", time_s) || !take_number(record, "v", value)) {
    return LineFault::bad_pack;
  }
  SenmlRecord found{base.name + name.value_or(""),
                    base.name.size(),
                    unit.value_or(base.unit),
                    {},
                    base.time_s + time_s.value_or(0.0)};
  if (!is_senml_name(found.name)) return LineFault::bad_pack;
  if (value) found.value = base.value + *value;
  if (!std::isfinite(found.time_s) || !std::isfinite(found.value.value_or(0.0))) {
    return LineFault::not_finite;
  }
  return found;
}

// A record of base fields alone says nothing yet.
bool says_something(const Json& record) {
  return std::any_of(record.items().begin(), record.items().end(), [](const auto& field) {
    constexpr std::string_view base_fields[]{"bn", "bt", "bu", "bv", "bs", "bver"};
    return std::find(std::begin(base_fields), std::end(base_fields), field.key()) ==
           std::end(base_fields);
  });
}

}  // namespace

std::variant<std::vector<SenmlRecord>, LineFault> read_senml_pack(std::string_view text) {
  const Json pack = Json::parse(text, nullptr, false);
  if (!pack.is_array() || pack.empty()) return LineFault::bad_pack;
  std::vector<SenmlRecord> records;
  Base base;
  for (const Json& record : pack) {
    if (!is_understood(record) || !take_base(record, base)) return LineFault::bad_pack;
    if (!says_something(record)) continue;
    auto found = resolved(record, base);
    if (const auto* fault = std::get_if<LineFault>(&found)) return *fault;
    records.push_back(std::get<SenmlRecord>(std::move(found)));
  }
  return records;
}

}  // namespace nestcup::drivers
