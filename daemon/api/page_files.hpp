// The page's files, which are part of the program.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "daemon/control/router.hpp"

namespace nestcup::daemon {

struct PageFile {
  std::string_view path;  ///< "/app.js"
  std::string_view content_type;
  std::vector<std::string_view> pieces;  ///< of its text

  [[nodiscard]] std::string text() const;
};

/// All files as they were built in.
[[nodiscard]] const std::vector<PageFile>& page_files();

/// GET / and every file, and /texts/{language}.json: the catalogue of what the page says. All with
/// an ETag (RFC 9110, section 8.8.3), so that nothing is sent twice.
void add_page_routes(Router& router);

}  // namespace nestcup::daemon
