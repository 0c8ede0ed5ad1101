// Finishing touches on the SVG that Cairo writes.
#pragma once

#include <string>
#include <string_view>

namespace nestcup {

/// What an SVG says to readers that do not see it.
struct SvgWords {
  std::string_view title;
  std::string_view description;
  std::string_view language;  ///< tag of RFC 5646
};

/// `svg` with title, description and language for screen readers (as SVG-AAM 1.0 takes them from
/// role and aria-labelledby), without the numbers that Cairo counts up over the life of a process,
/// so that the same drawing always gives the same document, and with ids that other drawings do
/// not have, so that several can stand in one HTML page.
[[nodiscard]] std::string finished_svg(std::string_view svg, const SvgWords& words);

/// The <svg> element alone, for embedding into HTML: `document` without its XML declaration.
[[nodiscard]] std::string_view svg_element(std::string_view document);

}  // namespace nestcup
