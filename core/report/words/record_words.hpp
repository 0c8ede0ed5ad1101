// Words of a record in a report's language.
#pragma once

#include <string>

#include "core/record/run_record.hpp"
#include "core/report/words/texts.hpp"

namespace nestcup {

/// A method of the rise; a record has it in English.
[[nodiscard]] std::string method_in(const std::string& words, const Texts& texts);

/// A finding; as the record has it where the catalogue lacks it.
[[nodiscard]] std::string finding_in(const Json& finding, const Texts& texts);

}  // namespace nestcup
