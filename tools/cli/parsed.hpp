// Parsed: the checked words of one call, by the names of the command's description.
#pragma once

#include <cstdint>
#include <map>
#include <optional>
#include <string>
#include <vector>

#include "core/base/result.hpp"

namespace nestcup::cli {

/// Values of options ("mark") and arguments ("TRACE"). Asking for a name that the command does
/// not have is a bug (assert).
class Parsed {
 public:
  /// Makes a name known, with the value it takes when not given (empty for none).
  /// @param label  how messages call it: "option --mark", "argument TRACE"
  void declare(const std::string& name, const std::string& label, const std::string& default_text);
  void add(const std::string& name, const std::string& value);

  /// Whether the command has an option or argument of this name.
  [[nodiscard]] bool knows(const std::string& name) const;
  /// Whether it was given at least once.
  [[nodiscard]] bool flag(const std::string& name) const;
  /// The value given, else the default, else nothing.
  [[nodiscard]] std::optional<std::string> text(const std::string& name) const;
  /// All values given, in order; the default alone where none was.
  [[nodiscard]] std::vector<std::string> texts(const std::string& name) const;
  /// The value as a number.
  /// @errors usage (it is none; the option is named)
  [[nodiscard]] Result<std::optional<double>> number(const std::string& name) const;
  /// The value as a whole number.
  /// @errors usage
  [[nodiscard]] Result<std::optional<std::int64_t>> whole_number(const std::string& name) const;

 private:
  struct Entry {
    std::string label;
    std::string default_text;
    std::vector<std::string> values{};
  };
  [[nodiscard]] const Entry& entry(const std::string& name) const;

  std::map<std::string, Entry> entries_;
};

}  // namespace nestcup::cli
