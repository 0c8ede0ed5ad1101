#include "core/chemistry/inputs.hpp"

#include <array>
#include <utility>

namespace nestcup {

std::string_view error_source_name(ErrorSource source) {
  constexpr std::array<std::string_view, 11> names{"temperature",
                                                   "probe",
                                                   "volume",
                                                   "mass",
                                                   "concentration",
                                                   "heat capacity",
                                                   "calorimeter constant",
                                                   "left behind",
                                                   "electrical",
                                                   "accepted values",
                                                   "scatter of repeats"};
  return names[static_cast<std::size_t>(source)];
}

InputId Inputs::add(Input input) {
  inputs_.push_back(std::move(input));
  shared_.push_back(false);
  return inputs_.size() - 1;
}

InputId Inputs::shared(const std::string& key, const Input& input) {
  return by_key(key, input, true);
}

InputId Inputs::of_trial(const std::string& key, const Input& input) {
  return by_key(key, input, false);
}

InputId Inputs::by_key(const std::string& key, const Input& input, bool shared) {
  const auto known = by_key_.find(key);
  if (known != by_key_.end()) return known->second;
  const InputId id = add(input);
  shared_[id] = shared;
  by_key_.emplace(key, id);
  return id;
}

}  // namespace nestcup
