#include "core/notebook/unit_code.hpp"

#include <array>

namespace nestcup {
namespace {

struct UnitCode {
  std::string_view text;
  std::string_view ucum;
};

// Temperatures on a scale are special units of UCUM (sections 21 to 22): no products of them. A
// difference of temperatures is in K.
constexpr std::array<UnitCode, 34> unit_codes{{
    {"degC", "Cel"},      {"\u00B0C", "Cel"},   {"degF", "[degF]"}, {"K", "K"},
    {"mK", "mK"},         {"s", "s"},           {"min", "min"},     {"h", "h"},
    {"1/s", "/s"},        {"per s", "/s"},      {"/s", "/s"},       {"J", "J"},
    {"kJ", "kJ"},         {"J/K", "J/K"},       {"J/g", "J/g"},     {"J/(g K)", "J/(g.K)"},
    {"kJ/mol", "kJ/mol"}, {"J/mol", "J/mol"},   {"mol", "mol"},     {"mmol", "mmol"},
    {"mol/L", "mol/L"},   {"mol/kg", "mol/kg"}, {"g", "g"},         {"mg", "mg"},
    {"kg", "kg"},         {"mL", "mL"},         {"L", "L"},         {"g/mL", "g/mL"},
    {"ohm", "Ohm"},       {"V", "V"},           {"mV", "mV"},       {"uV", "uV"},
    {"%", "%"},           {"ratio", "1"},
}};

}  // namespace

std::string_view ucum_code(std::string_view unit_text) {
  for (const UnitCode& unit : unit_codes) {
    if (unit.text == unit_text) return unit.ucum;
  }
  return {};
}

}  // namespace nestcup
