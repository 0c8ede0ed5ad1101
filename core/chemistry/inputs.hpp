// Everything that can be off, each once: what results share, and so what they err in together.
#pragma once

#include <cstddef>
#include <map>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace nestcup {

/// Where an error comes from; a budget has a line for each.
enum class ErrorSource {
  temperature,
  probe,  ///< scale and offset of a probe: the same in all runs with it
  volume,
  mass,
  concentration,
  heat_capacity,         ///< tables of heat capacities and densities
  calorimeter_constant,  ///< what only its own trials bring in
  left_behind,           ///< on pouring
  electrical,
  accepted,  ///< tabulated enthalpies
  scatter    ///< of repeats, beyond what is stated of each
};

/// "temperature", "calorimeter constant", ...
[[nodiscard]] std::string_view error_source_name(ErrorSource source);

/// A quantity that is known with a standard uncertainty, independent of every other input.
struct Input {
  std::string name;
  ErrorSource source = ErrorSource::temperature;
  std::optional<double> dof{};  ///< of its uncertainty; nothing means infinite
};

using InputId = std::size_t;

/// All inputs of one piece of work. What is asked for by the same key is the same input: two
/// volumes by one cylinder are off by the same error.
class Inputs {
 public:
  /// A new input that nothing else shares.
  InputId add(Input input);
  /// The input of this key, made where it is not there yet.
  InputId shared(const std::string& key, const Input& input);
  /// The same for what the repeats of one trial share among themselves, and with nothing else.
  /// @param key  has the trial's name in it
  InputId of_trial(const std::string& key, const Input& input);

  [[nodiscard]] const Input& operator[](InputId id) const { return inputs_[id]; }
  /// Whether results of several trials may have it.
  [[nodiscard]] bool is_shared(InputId id) const { return shared_[id]; }
  /// From now on budgets count it there.
  void ascribe(InputId id, ErrorSource source) { inputs_[id].source = source; }
  [[nodiscard]] std::size_t size() const { return inputs_.size(); }

 private:
  InputId by_key(const std::string& key, const Input& input, bool shared);

  std::vector<Input> inputs_;
  std::vector<bool> shared_;
  std::map<std::string, InputId> by_key_;
};

}  // namespace nestcup
