#include "core/record/quantity_json.hpp"

namespace nestcup {

nlohmann::ordered_json quantity_json(const Uncertain& quantity) {
  nlohmann::ordered_json json{{"value", quantity.value}, {"u", quantity.u}};
  if (quantity.dof) json["dof"] = *quantity.dof;
  return json;
}

Uncertain quantity_of(const nlohmann::ordered_json& json) {
  Uncertain quantity{json.at("value").get<double>(), json.at("u").get<double>()};
  if (const auto dof = json.find("dof"); dof != json.end() && dof->is_number()) {
    quantity.dof = dof->get<double>();
  }
  return quantity;
}

}  // namespace nestcup
