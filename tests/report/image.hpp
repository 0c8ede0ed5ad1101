// A drawn PNG, decoded again for looking at its pixels.
#pragma once

#include <cstdint>
#include <string>
#include <vector>

#include "core/report/drawing/palette.hpp"

namespace nestcup {

struct Image {
  int width = 0;
  int height = 0;
  std::vector<std::uint32_t> pixels{};  ///< 0xRRGGBB, row by row

  [[nodiscard]] std::uint32_t at(int x, int y) const;
  /// How many pixels of exactly this colour lie in the columns [from, to).
  [[nodiscard]] int count(const Colour& colour, int from, int to) const;
  /// How many pixels of the outermost `margin` rows and columns are not white.
  [[nodiscard]] int soiled_margin(int margin) const;
};

/// An empty image where `png` cannot be decoded.
[[nodiscard]] Image decoded(const std::string& png);

}  // namespace nestcup
