// Text within a line: subscripts and superscripts, and how each kind of page writes them.
//
// In texts of a document `_{...}` is a subscript and `^{...}` a superscript; they do not nest.
#pragma once

#include <string>
#include <string_view>

namespace nestcup {

/// For HTML, between tags or in an attribute: <sub>, <sup>, and everything else escaped.
[[nodiscard]] std::string html_text(std::string_view text);

/// For an attribute or a title, where no tag can stand: escaped, marks left out.
[[nodiscard]] std::string html_attribute(std::string_view text);

/// For Markdown (CommonMark): <sub>, <sup>, and what would be taken for markup escaped.
[[nodiscard]] std::string markdown_text(std::string_view text);

/// For plain text and spreadsheets: "T_{1}" as "T_1".
[[nodiscard]] std::string plain_text(std::string_view text);

}  // namespace nestcup
