// The call of nestcup convert: what probe, wired how, and which number is to be converted.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "core/base/result.hpp"
#include "core/sheet/transducer_settings.hpp"
#include "tools/cli/command.hpp"
#include "tools/cli/parsed.hpp"

namespace nestcup {

/// One conversion as asked for.
struct ConvertRequest {
  TransducerSettings settings;       ///< with a full scale for `unit`
  RawUnit unit = RawUnit::ohm;       ///< of `raw`; where `degC` is given, what it becomes
  std::optional<double> raw{};       ///< one of these two
  std::optional<double> degC{};      ///< is there
  std::optional<double> full_scale;  ///< count of the whole supply, where given
  std::optional<double> supply_V;    ///< across the divider, where given
};

/// All options of the command but --json.
[[nodiscard]] std::vector<cli::OptionSpec> convert_options();

/// The conversion that the words ask for.
/// @errors usage: an option that does not belong to the kind, is missing or is out of the question
[[nodiscard]] Result<ConvertRequest> read_conversion(const cli::Parsed& parsed);

}  // namespace nestcup
