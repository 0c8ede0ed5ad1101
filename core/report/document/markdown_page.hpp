// A document as Markdown.
#pragma once

#include <functional>
#include <string>

#include "core/report/document/document.hpp"

namespace nestcup {

/// CommonMark with the tables of GitHub Flavored Markdown.
/// @param figure_path  where the figure of this number (from 1) lies, relative to the page
[[nodiscard]] std::string markdown_page(const Document& document,
                                        const std::function<std::string(int)>& figure_path);

}  // namespace nestcup
