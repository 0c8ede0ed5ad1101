// A document as one HTML page that needs nothing else, on a screen, a phone and on A4 paper.
#pragma once

#include <string>

#include "core/report/document/document.hpp"

namespace nestcup {

/// A whole HTML document (UTF-8): no script, nothing from elsewhere; figures lie inside.
[[nodiscard]] std::string html_page(const Document& document);

}  // namespace nestcup
