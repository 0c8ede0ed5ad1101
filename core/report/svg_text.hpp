// Finishing touches on the SVG that Cairo writes.
#pragma once

#include <string>
#include <string_view>

namespace nestcup {

/// `svg` with a title for screen readers, and without the numbers that Cairo counts up over the
/// life of a process: the same drawing always gives the same document.
[[nodiscard]] std::string finished_svg(std::string_view svg, std::string_view title);

}  // namespace nestcup
