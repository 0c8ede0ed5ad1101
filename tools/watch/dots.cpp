#include "tools/watch/dots.hpp"

#include <algorithm>
#include <cmath>
#include <cstdlib>

namespace nestcup::watch {
namespace {

constexpr unsigned braille_begin = 0x2800;

/// The bit of a dot within its character: Braille counts down the left column, then the right one,
/// and has the lowest row last.
unsigned bit_of(int across, int down) {
  if (down == 3) return across == 0 ? 0x40U : 0x80U;
  return 1U << static_cast<unsigned>(down + 3 * across);
}

}  // namespace

std::string utf8_of(unsigned code_point) {
  if (code_point < 0x80U) return {static_cast<char>(code_point)};
  if (code_point < 0x800U) {
    return {static_cast<char>(0xC0U | (code_point >> 6U)),
            static_cast<char>(0x80U | (code_point & 0x3FU))};
  }
  return {static_cast<char>(0xE0U | (code_point >> 12U)),
          static_cast<char>(0x80U | ((code_point >> 6U) & 0x3FU)),
          static_cast<char>(0x80U | (code_point & 0x3FU))};
}

DotGrid::DotGrid(int columns, int rows, Charset charset)
    : columns_(std::max(columns, 0)),
      rows_(std::max(rows, 0)),
      charset_(charset),
      across_(charset == Charset::utf8 ? 2 : 1),
      down_(charset == Charset::utf8 ? 4 : 1),
      cells_(static_cast<std::size_t>(columns_) * static_cast<std::size_t>(rows_)) {}

void DotGrid::set(int x, int y, char mark) {
  if (x < 0 || y < 0 || x >= width() || y >= height()) return;
  const int from_above = height() - 1 - y;
  const auto place = static_cast<std::size_t>((from_above / down_) * columns_ + x / across_);
  cells_[place].dots |= bit_of(x % across_, from_above % down_);
  if (cells_[place].mark == ' ') cells_[place].mark = mark;
}

void DotGrid::line(int from_x, int from_y, int to_x, int to_y, int every, char mark) {
  // As many steps as the longer side has dots, each rounded to the nearest one.
  const int steps = std::max({std::abs(to_x - from_x), std::abs(to_y - from_y), 1});
  for (int i = 0; i <= steps; ++i) {
    const double part = static_cast<double>(i) / steps;
    const int x = from_x + static_cast<int>(std::lround(part * (to_x - from_x)));
    const int y = from_y + static_cast<int>(std::lround(part * (to_y - from_y)));
    if (x % every == 0) set(x, y, mark);
  }
}

std::vector<std::string> DotGrid::text() const {
  std::vector<std::string> lines;
  for (int row = 0; row < rows_; ++row) {
    std::string line;
    for (int column = 0; column < columns_; ++column) {
      const Cell& cell = cells_[static_cast<std::size_t>(row * columns_ + column)];
      const bool is_braille = charset_ == Charset::utf8 && cell.dots != 0;
      line += is_braille ? utf8_of(braille_begin + cell.dots) : std::string(1, cell.mark);
    }
    lines.push_back(std::move(line));
  }
  return lines;
}

}  // namespace nestcup::watch
