// What tables and JSON say alike.
#include <algorithm>

#include "core/pool/pool_json.hpp"

namespace nestcup::pooled {

std::string standing_word(const BenchValue& value) {
  if (value.is_outlying()) return "outlying";
  return value.grubbs == Standing::straggler ? "straggling" : "in line";
}

std::vector<const BenchValue*> shown_values(const ClassQuantity& quantity, bool nameless) {
  std::vector<const BenchValue*> values;
  for (const BenchValue& value : quantity.benches) values.push_back(&value);
  if (nameless) {
    std::stable_sort(values.begin(), values.end(), [](const BenchValue* a, const BenchValue* b) {
      return a->value.value() < b->value.value();
    });
  }
  return values;
}

}  // namespace nestcup::pooled
