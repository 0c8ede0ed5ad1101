// What the day's sheet came to, as tables of the demo's page.
#pragma once

#include <string>

#include "tools/demo/worked.hpp"

namespace nestcup::demo {

/// `text` as it may stand between tags.
[[nodiscard]] std::string escaped(const std::string& text);

/// HTML: a table of constant and trials, one of the cycle where the sheet has one, and what the
/// results themselves point out.
/// @param number  of the first table
[[nodiscard]] std::string results_tables(const Worked& worked, int number);

}  // namespace nestcup::demo
