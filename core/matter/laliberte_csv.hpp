// The table laliberte.csv as it was when the program was built.
#pragma once

#include <string_view>

namespace nestcup {

[[nodiscard]] std::string_view laliberte_csv();

}  // namespace nestcup
