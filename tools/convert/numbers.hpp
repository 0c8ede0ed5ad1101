// The numbers of a call's options.
#pragma once

#include <fmt/format.h>

#include <optional>
#include <string>
#include <string_view>
#include <utility>

#include "core/base/result.hpp"
#include "tools/cli/parsed.hpp"

namespace nestcup {

[[nodiscard]] inline Error usage_error(std::string text) {
  return {Fault::usage, std::move(text)};
}

/// Values of options as numbers; the first that is missing, none or impossible is kept as the
/// error, so that a whole set can be read before looking.
class Numbers {
 public:
  explicit Numbers(const cli::Parsed& parsed) : parsed_(&parsed) {}

  [[nodiscard]] std::optional<double> find(const std::string& name) {
    const auto found = parsed_->number(name);
    if (found) return *found;
    keep(found.error());
    return std::nullopt;
  }
  [[nodiscard]] double required(const std::string& name, std::string_view what) {
    if (!parsed_->flag(name))
      keep(usage_error(fmt::format("option --{} is missing: {}", name, what)));
    return find(name).value_or(0.0);
  }
  [[nodiscard]] std::optional<double> positive(const std::string& name) {
    const auto found = find(name);
    if (found && *found <= 0.0) {
      keep(usage_error(fmt::format("option --{} is {}, expected more than 0", name, *found)));
    }
    return found;
  }
  [[nodiscard]] bool given(const std::string& name) const { return parsed_->flag(name); }
  void keep(Error error) {
    if (!error_) error_ = std::move(error);
  }
  [[nodiscard]] const std::optional<Error>& error() const { return error_; }
  [[nodiscard]] const cli::Parsed& parsed() const { return *parsed_; }

 private:
  const cli::Parsed* parsed_;
  std::optional<Error> error_;
};

}  // namespace nestcup
