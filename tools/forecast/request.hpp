// What is asked of nestcup forecast.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "tools/cli/command.hpp"
#include "tools/cli/parsed.hpp"
#include "tools/forecast/outlook.hpp"

namespace nestcup::forecast {

struct Request {
  Plan plan;
  std::optional<std::size_t> only;  ///< index of the trial asked for
  std::string bench;                ///< path of the bench file; empty for a usual bench
};

[[nodiscard]] std::vector<cli::OptionSpec> request_options();

/// @errors usage (an option that is no number, or names no trial); those of sheet and bench file
[[nodiscard]] Result<Request> read_request(const cli::Parsed& parsed);

}  // namespace nestcup::forecast
