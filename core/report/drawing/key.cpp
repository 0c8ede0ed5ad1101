#include "core/report/drawing/key.hpp"

#include "core/report/drawing/text_block.hpp"

namespace nestcup {

namespace {

constexpr TextStyle key_style{10.0, palette::quiet_ink};
constexpr double row_height = 16.0;
constexpr double sample_width = 22.0;
constexpr double sample_height = 10.0;
constexpr double sample_gap = 6.0;
constexpr double entry_gap = 18.0;
constexpr double mark_radius = 3.4;

/// An entry with its place, relative to the key's left upper corner.
struct Placed {
  const KeyEntry* entry;
  TextBlock words;
  PagePoint at;
};

std::vector<Placed> placed(Canvas& canvas, std::span<const KeyEntry> entries, double width) {
  std::vector<Placed> places;
  PagePoint at;
  for (const KeyEntry& entry : entries) {
    const double free = width - sample_width - sample_gap;
    TextBlock words = fitted(canvas, entry.words, key_style, free, 1);
    const double needed = sample_width + sample_gap + words.width;
    if (at.x > 0.0 && at.x + needed > width) at = {0.0, at.y + row_height};
    places.push_back({&entry, std::move(words), at});
    at.x += needed + entry_gap;
  }
  return places;
}

}  // namespace

KeyEntry key_line(std::string words, const Stroke& stroke) {
  return {std::move(words), [stroke](Canvas& canvas, const PageBox& box) {
            const double y = box.top + 0.5 * box.height;
            canvas.line({box.left, y}, {box.right(), y}, stroke);
          }};
}

KeyEntry key_mark(std::string words, Mark shape, const Colour& colour) {
  return {std::move(words), [shape, colour](Canvas& canvas, const PageBox& box) {
            canvas.mark({box.left + 0.5 * box.width, box.top + 0.5 * box.height}, shape,
                        mark_radius, colour);
          }};
}

KeyEntry key_band(std::string words, const Colour& colour, const Stroke& middle) {
  return {std::move(words), [colour, middle](Canvas& canvas, const PageBox& box) {
            canvas.fill(box, colour);
            const double y = box.top + 0.5 * box.height;
            if (middle.width > 0.0) canvas.line({box.left, y}, {box.right(), y}, middle);
          }};
}

double key_height(Canvas& canvas, std::span<const KeyEntry> entries, double width) {
  if (entries.empty()) return 0.0;
  return placed(canvas, entries, width).back().at.y + row_height;
}

void draw_key(Canvas& canvas, std::span<const KeyEntry> entries, PagePoint at, double width) {
  for (const Placed& place : placed(canvas, entries, width)) {
    const PagePoint corner{at.x + place.at.x, at.y + place.at.y};
    const double middle = corner.y + 0.5 * row_height;
    place.entry->sample(canvas,
                        {corner.x, middle - 0.5 * sample_height, sample_width, sample_height});
    draw_block(canvas, place.words,
               {corner.x + sample_width + sample_gap, middle - 0.5 * place.words.line_height()},
               Across::left);
  }
}

}  // namespace nestcup
