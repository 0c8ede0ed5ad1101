#include "tools/cli/parsed.hpp"

#include <fmt/format.h>

#include <cassert>
#include <charconv>

#include "core/base/numbers.hpp"

namespace nestcup::cli {

void Parsed::declare(const std::string& name, const std::string& label,
                     const std::string& default_text) {
  entries_[name] = {label, default_text};
}

void Parsed::add(const std::string& name, const std::string& value) {
  assert(entries_.contains(name));
  entries_[name].values.push_back(value);
}

const Parsed::Entry& Parsed::entry(const std::string& name) const {
  const auto found = entries_.find(name);
  assert(found != entries_.end());
  return found->second;
}

bool Parsed::knows(const std::string& name) const {
  return entries_.contains(name);
}

bool Parsed::flag(const std::string& name) const {
  return !entry(name).values.empty();
}

std::optional<std::string> Parsed::text(const std::string& name) const {
  const std::vector<std::string> values = texts(name);
  if (values.empty()) return std::nullopt;
  return values.back();
}

std::vector<std::string> Parsed::texts(const std::string& name) const {
  const Entry& found = entry(name);
  if (!found.values.empty() || found.default_text.empty()) return found.values;
  return {found.default_text};
}

Result<std::optional<double>> Parsed::number(const std::string& name) const {
  const auto given = text(name);
  if (!given) return std::optional<double>{};
  const auto value = parse_number(*given);
  if (!value) {
    return Error{Fault::usage, fmt::format("{}: '{}' is not a number", entry(name).label, *given)};
  }
  return value;
}

Result<std::optional<std::int64_t>> Parsed::whole_number(const std::string& name) const {
  const auto given = text(name);
  if (!given) return std::optional<std::int64_t>{};
  std::int64_t value = 0;
  const char* const end = given->data() + given->size();
  const auto [stop, fault] = std::from_chars(given->data(), end, value);
  if (fault != std::errc{} || stop != end) {
    return Error{Fault::usage,
                 fmt::format("{}: '{}' is not a whole number", entry(name).label, *given)};
  }
  return std::optional<std::int64_t>{value};
}

}  // namespace nestcup::cli
