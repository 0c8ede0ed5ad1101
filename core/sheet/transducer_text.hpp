// A probe's transducer in words, for records and the store.
#pragma once

#include <string>

#include "core/sheet/port_settings.hpp"

namespace nestcup {

/// "temperature in degC", or the kind with every figure of its settings: what is stored with the
/// readings must be enough to convert them anew.
[[nodiscard]] std::string transducer_text(const ProbeSettings& probe);

}  // namespace nestcup
