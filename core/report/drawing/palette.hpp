// Colours and line widths of charts: dark on light, told apart by lightness and dashes in print.
#pragma once

namespace nestcup {

/// An opaque sRGB colour, each part from 0 to 1.
struct Colour {
  double red = 0.0;
  double green = 0.0;
  double blue = 0.0;
};

/// The colour written as 0xRRGGBB.
[[nodiscard]] constexpr Colour colour_from_hex(unsigned hex) {
  return {((hex >> 16) & 0xFF) / 255.0, ((hex >> 8) & 0xFF) / 255.0, (hex & 0xFF) / 255.0};
}

namespace palette {

inline constexpr Colour paper = colour_from_hex(0xFFFFFF);
inline constexpr Colour outer_band = colour_from_hex(0xF1F5F8);
inline constexpr Colour main_band = colour_from_hex(0xF8E9CB);
inline constexpr Colour scatter_band = colour_from_hex(0xD3DFE8);
inline constexpr Colour course = colour_from_hex(0xEDC3DA);
inline constexpr Colour grid = colour_from_hex(0xD9DEE2);
inline constexpr Colour frame = colour_from_hex(0x5A6670);

inline constexpr Colour ink = colour_from_hex(0x1A1A1A);
inline constexpr Colour quiet_ink = colour_from_hex(0x4A545C);
inline constexpr Colour cup = colour_from_hex(0x17508A);
inline constexpr Colour added = colour_from_hex(0x8F4300);
inline constexpr Colour fitted = colour_from_hex(0x8A1C5B);

}  // namespace palette

/// A drawn line: colour, width (pt) and dashes (pt on, pt off); no dashes for a whole line.
struct Stroke {
  Colour colour;
  double width = 1.0;
  double dash_on = 0.0;
  double dash_off = 0.0;
};

namespace strokes {

inline constexpr Stroke grid{palette::grid, 0.6};
inline constexpr Stroke frame{palette::frame, 0.9};
inline constexpr Stroke leader{palette::frame, 0.6};
inline constexpr Stroke cup{palette::cup, 1.0};
inline constexpr Stroke added{palette::added, 1.1, 3.0, 1.5};
inline constexpr Stroke fitted{palette::fitted, 1.3, 6.0, 3.0};
inline constexpr Stroke moment{palette::quiet_ink, 0.8, 1.2, 2.4};
inline constexpr Stroke rise{palette::ink, 1.4};
inline constexpr Stroke course{palette::course, 5.0};
inline constexpr Stroke scatter_edge{palette::frame, 0.6, 2.0, 2.0};
inline constexpr Stroke rule{palette::frame, 0.6};

}  // namespace strokes

}  // namespace nestcup
