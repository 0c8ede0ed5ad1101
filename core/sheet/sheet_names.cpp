// Names and keys of a sheet that refer to each other.
#include <fmt/format.h>

#include "core/base/nearest.hpp"
#include "core/sheet/sheet_parts.hpp"

namespace nestcup {

namespace {

void check_one_line(TomlSection& section, std::string_view key, const std::string& text) {
  const auto is_control = [](unsigned char byte) { return byte < 0x20 || byte == 0x7f; };
  if (std::none_of(text.begin(), text.end(), is_control)) return;
  section.problem(key, "has a line end or another control character, expected one plain line");
}

}  // namespace

std::string one_line(TomlSection& section, std::string_view key) {
  std::string text = section.text(key).value_or("");
  check_one_line(section, key, text);
  return text;
}

std::string required_line(TomlSection& section, std::string_view key, std::string_view hint) {
  std::string text = section.required_text(key, hint);
  check_one_line(section, key, text);
  return text;
}

std::string twice_text(const std::string& name) {
  return fmt::format("\"{}\" is there twice, expected each only once", name);
}

std::string unknown_text(const std::string& name, const std::vector<std::string>& known,
                         std::string_view kind) {
  const auto meant = nearest(name, known);
  return fmt::format("\"{}\" is no {} of this sheet, expected {}{}", name, kind,
                     known.empty() ? "one to be added" : listed(known),
                     meant ? fmt::format("; did you mean \"{}\"?", *meant) : "");
}

void check_one_of(TomlSection& section, std::string_view one, std::string_view other) {
  const bool has_one = section.has_or_lacks_unit(one);
  if (has_one != section.has_or_lacks_unit(other)) return;
  section.problem(fmt::format("has {} {} {} {}, expected one of them", has_one ? "both" : "neither",
                              one, has_one ? "and" : "nor", other));
}

void check_belongs(TomlSection& section, std::string_view key, std::string_view owner) {
  if (!section.has(key) || section.has_or_lacks_unit(owner)) return;
  section.problem(key, fmt::format("stands alone, expected beside {}", owner));
}

}  // namespace nestcup
