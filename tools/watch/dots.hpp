// A drawing of dots made of a terminal's characters: eight dots a character with the patterns of
// Braille (Unicode, U+2800 to U+28FF), one with plain ASCII.
#pragma once

#include <cstddef>
#include <string>
#include <vector>

namespace nestcup::watch {

/// What the terminal can show.
enum class Charset { ascii, utf8 };

/// Dots have their origin at the left and below.
class DotGrid {
 public:
  /// @param columns, rows  characters
  DotGrid(int columns, int rows, Charset charset);

  [[nodiscard]] int width() const { return columns_ * across_; }  ///< dots
  [[nodiscard]] int height() const { return rows_ * down_; }      ///< dots

  /// Sets a dot; one that lies outside is left out.
  /// @param mark  what ASCII shows for it; the first one stays
  void set(int x, int y, char mark = '*');
  /// A line between two dots, of which only those in every n-th column of dots are set.
  void line(int from_x, int from_y, int to_x, int to_y, int every = 1, char mark = '*');

  /// The rows from above, each `columns` characters wide.
  [[nodiscard]] std::vector<std::string> text() const;

 private:
  struct Cell {
    unsigned dots = 0;
    char mark = ' ';
  };

  int columns_;
  int rows_;
  Charset charset_;
  int across_;  ///< dots a character
  int down_;
  std::vector<Cell> cells_;  ///< row by row from above
};

/// A code point of at most 16 bits in UTF-8.
[[nodiscard]] std::string utf8_of(unsigned code_point);

}  // namespace nestcup::watch
