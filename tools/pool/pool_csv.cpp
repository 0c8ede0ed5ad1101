#include <fmt/format.h>

#include "core/base/numbers.hpp"
#include "tools/pool/outputs.hpp"

namespace nestcup::pooled {
namespace {

/// A field of RFC 4180: in quotes where it has to be.
std::string field(const std::string& text) {
  if (text.find_first_of(",\"\r\n") == std::string::npos) return text;
  std::string quoted = "\"";
  for (const char letter : text) {
    quoted += letter;
    if (letter == '"') quoted += '"';
  }
  return quoted + '"';
}

std::string number(const std::optional<double>& value) {
  return value ? number_text(*value) : "";
}

std::string row(const std::vector<std::string>& fields) {
  std::string text;
  for (const std::string& one : fields) text += (text.empty() ? "" : ",") + field(one);
  return text + "\r\n";
}

std::string value_row(const ClassResult& result, const ClassQuantity& quantity,
                      const BenchValue& value, const PoolContext& context) {
  const auto robust = [&](double RobustFigures::*figure) {
    return quantity.robust ? number((*quantity.robust).*figure) : std::string{};
  };
  const auto accepted = [&](double Uncertain::*figure) {
    return quantity.accepted ? number(quantity.accepted->value.*figure) : std::string{};
  };
  return row(
      {result.title, quantity_label(quantity.name), quantity.name.what, quantity.name.unit,
       context.nameless ? "-" : result.benches[value.bench].name, std::to_string(value.runs.size()),
       number(value.value.value()), number(value.stated.u), number(value.stated.dof),
       number(value.u_own), number(value.z), number(value.E_n), standing_word(value),
       robust(&RobustFigures::mean), robust(&RobustFigures::u_mean), robust(&RobustFigures::sd),
       number(quantity.median), accepted(&Uncertain::value), accepted(&Uncertain::u)});
}

}  // namespace

std::string pool_csv(std::span<const ClassResult> results, const PoolContext& context) {
  std::string text = row({"sheet", "of", "quantity", "unit", "bench", "runs", "value", "u", "dof",
                          "u_own", "z", "E_n", "standing", "robust_mean", "u_robust_mean",
                          "robust_sd", "median", "accepted", "u_accepted"});
  for (const ClassResult& result : results) {
    for (const ClassQuantity& quantity : result.quantities) {
      for (const BenchValue* const value : shown_values(quantity, context.nameless)) {
        text += value_row(result, quantity, *value, context);
      }
    }
  }
  return text;
}

}  // namespace nestcup::pooled
