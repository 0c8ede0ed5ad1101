// A run record for people.
#pragma once

#include <string>

#include "core/record/run_record.hpp"

namespace nestcup {

/// The corrected rise of a record with its unit: "6.214 +- 0.006 K", or why there is none.
[[nodiscard]] std::string rise_text(const Json& record);

/// A record in a dozen lines: what, when, periods, temperatures, rise with its budget, findings.
[[nodiscard]] std::string record_text(const Json& record);

}  // namespace nestcup
