// Text in columns for a terminal: wrapping and widths.
#pragma once

#include <cstddef>
#include <string>
#include <string_view>

namespace nestcup::cli {

/// Columns of all help texts.
inline constexpr std::size_t help_width = 80;

/// Columns that a UTF-8 text takes where every character takes one.
[[nodiscard]] std::size_t display_width(std::string_view text);

/// `text` broken at blanks into lines of at most `width` columns, each behind `indent` blanks and
/// with a line end. A word wider than that keeps a line to itself.
[[nodiscard]] std::string wrapped(std::string_view text, std::size_t indent,
                                  std::size_t width = help_width);

/// A term and its wrapped explanation, hanging at column `indent`; below the term where the term
/// reaches so far.
[[nodiscard]] std::string hanging(std::string_view term, std::string_view text, std::size_t indent,
                                  std::size_t width = help_width);

}  // namespace nestcup::cli
