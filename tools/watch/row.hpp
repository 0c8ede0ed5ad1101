// A row of a screen: pieces of text in their tones.
#pragma once

#include <string>
#include <vector>

#include "tools/cli/output.hpp"

namespace nestcup::watch {

struct Piece {
  std::string text;
  cli::Tone tone = cli::Tone::plain;
};
using Row = std::vector<Piece>;

/// The text with blanks behind it, or cut, so that it is `columns` wide.
[[nodiscard]] Piece padded(const std::string& text, int columns, cli::Tone tone);

/// The row as it is printed: no wider than `columns`, in its tones where there is colour.
[[nodiscard]] std::string fitted(const Row& row, int columns, bool colour);

/// `text` broken into lines at blanks; a word wider than a line is cut.
[[nodiscard]] std::vector<std::string> lines_of(const std::string& text, int columns);

}  // namespace nestcup::watch
