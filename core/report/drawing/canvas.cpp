#include "core/report/drawing/canvas.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>

#include "core/report/drawing/likeness.hpp"

namespace nestcup {

namespace {

/// Height of a capital letter over the font size, near enough for every sans-serif.
constexpr double capital_height = 0.72;

/// Low and high parts of a formula: their size, and how far their baseline moves, over font size.
constexpr double script_size = 0.72;
constexpr double low_drop = 0.16;
constexpr double high_lift = 0.34;

constexpr double rim_width = 3.0;
constexpr double rim_opacity = 0.75;

constexpr double head_length = 9.0;  // of an arrow
constexpr double head_half = 3.6;

TextStyle style_of(const ScriptPiece& piece, TextStyle style) {
  if (piece.script != Script::normal) style.size *= script_size;
  return style;
}

double drop_of(const ScriptPiece& piece, const TextStyle& style) {
  if (piece.script == Script::low) return low_drop * style.size;
  return piece.script == Script::high ? -high_lift * style.size : 0.0;
}

PageBox around(const PageBox& a, const PageBox& b) {
  if (a.width <= 0.0) return b;
  if (b.width <= 0.0) return a;
  const double left = std::min(a.left, b.left);
  const double top = std::min(a.top, b.top);
  return {left, top, std::max(a.right(), b.right()) - left, std::max(a.bottom(), b.bottom()) - top};
}

}  // namespace

Canvas::Canvas(cairo_t* context) : context_(context) {
  // Without hinting, texts are as wide in the image as in the drawing.
  cairo_font_options_t* const options = cairo_font_options_create();
  cairo_font_options_set_hint_metrics(options, CAIRO_HINT_METRICS_OFF);
  cairo_font_options_set_hint_style(options, CAIRO_HINT_STYLE_NONE);
  cairo_font_options_set_antialias(options, CAIRO_ANTIALIAS_GRAY);
  cairo_set_font_options(context_, options);
  cairo_font_options_destroy(options);
  cairo_set_line_join(context_, CAIRO_LINE_JOIN_ROUND);
}

void Canvas::use(const Colour& colour) {
  cairo_set_source_rgb(context_, colour.red, colour.green, colour.blue);
}

void Canvas::use(const Stroke& stroke) {
  use(stroke.colour);
  cairo_set_line_width(context_, stroke.width);
  const std::array<double, 2> dashes{stroke.dash_on, stroke.dash_off};
  cairo_set_dash(context_, dashes.data(), stroke.dash_on > 0.0 ? 2 : 0, 0.0);
}

void Canvas::use(const TextStyle& style) {
  use(style.colour);
  cairo_select_font_face(context_, "sans-serif", CAIRO_FONT_SLANT_NORMAL,
                         style.bold ? CAIRO_FONT_WEIGHT_BOLD : CAIRO_FONT_WEIGHT_NORMAL);
  cairo_set_font_size(context_, style.size);
}

void Canvas::fill(const PageBox& box, const Colour& colour) {
  use(colour);
  cairo_rectangle(context_, box.left, box.top, box.width, box.height);
  cairo_fill(context_);
}

void Canvas::line(PagePoint from, PagePoint to, const Stroke& stroke) {
  const std::array<PagePoint, 2> ends{from, to};
  polyline(ends, stroke);
}

void Canvas::polyline(std::span<const PagePoint> points, const Stroke& stroke) {
  if (points.size() < 2) return;
  use(stroke);
  cairo_move_to(context_, points.front().x, points.front().y);
  for (const PagePoint& point : points.subspan(1)) cairo_line_to(context_, point.x, point.y);
  cairo_stroke(context_);
}

void Canvas::mark_path(PagePoint at, Mark shape, double radius) {
  const auto corners = [&](std::span<const PagePoint> offsets) {
    cairo_move_to(context_, at.x + offsets[0].x * radius, at.y + offsets[0].y * radius);
    for (const PagePoint& offset : offsets.subspan(1)) {
      cairo_line_to(context_, at.x + offset.x * radius, at.y + offset.y * radius);
    }
    cairo_close_path(context_);
  };
  static constexpr PagePoint diamond[] = {{0, -1.25}, {1.25, 0}, {0, 1.25}, {-1.25, 0}};
  static constexpr PagePoint square[] = {{-0.9, -0.9}, {0.9, -0.9}, {0.9, 0.9}, {-0.9, 0.9}};
  static constexpr PagePoint up[] = {{0, -1.1}, {1.05, 0.8}, {-1.05, 0.8}};
  static constexpr PagePoint down[] = {{0, 1.1}, {1.05, -0.8}, {-1.05, -0.8}};
  cairo_new_path(context_);
  switch (shape) {
    case Mark::diamond:
      return corners(diamond);
    case Mark::square:
      return corners(square);
    case Mark::up:
      return corners(up);
    case Mark::down:
      return corners(down);
    case Mark::disc:
    case Mark::ring:
    case Mark::cross:
      cairo_arc(context_, at.x, at.y, radius, 0.0, 2.0 * std::numbers::pi);
  }
}

void Canvas::mark(PagePoint at, Mark shape, double radius, const Colour& colour) {
  if (shape == Mark::cross) {
    const Stroke stroke{colour, 1.2};
    line({at.x - radius, at.y - radius}, {at.x + radius, at.y + radius}, stroke);
    line({at.x - radius, at.y + radius}, {at.x + radius, at.y - radius}, stroke);
    return;
  }
  mark_path(at, shape, radius);
  if (shape == Mark::disc) {
    use(colour);
    cairo_fill(context_);
    return;
  }
  use(palette::paper);
  cairo_fill_preserve(context_);
  use(Stroke{colour, 1.1});
  cairo_stroke(context_);
}

void Canvas::dots(std::span<const PagePoint> places, double radius, const Colour& colour) {
  use(Stroke{colour, 2.0 * radius});
  cairo_set_line_cap(context_, CAIRO_LINE_CAP_ROUND);
  for (const PagePoint& place : places) {
    // A line without length has round ends alone.
    cairo_move_to(context_, place.x, place.y);
    cairo_line_to(context_, place.x, place.y);
  }
  cairo_stroke(context_);
  cairo_set_line_cap(context_, CAIRO_LINE_CAP_BUTT);
}

void Canvas::triangle(PagePoint tip, PagePoint left, PagePoint right, const Colour& colour) {
  use(colour);
  cairo_move_to(context_, tip.x, tip.y);
  cairo_line_to(context_, left.x, left.y);
  cairo_line_to(context_, right.x, right.y);
  cairo_close_path(context_);
  cairo_fill(context_);
}

void Canvas::arrow(PagePoint from, double to_y, const Stroke& stroke) {
  const double length = std::abs(to_y - from.y);
  const double head = std::min(head_length, 0.6 * length);
  const double half = std::max(head_half * head / head_length, 0.8 * stroke.width);
  const double neck_y = to_y + (to_y < from.y ? head : -head);
  line(from, {from.x, neck_y}, stroke);
  triangle({from.x, to_y}, {from.x - half, neck_y}, {from.x + half, neck_y}, stroke.colour);
}

bool Canvas::font_has(std::string_view character, bool bold) {
  auto& known = bold ? bold_has_ : plain_has_;
  const auto found = known.find(character);
  if (found != known.end()) return found->second;
  use(TextStyle{10.0, palette::ink, bold});
  cairo_scaled_font_t* const font = cairo_get_scaled_font(context_);
  // Where there is no font at all Cairo has one of its own, with ASCII and nothing else.
  bool has = cairo_scaled_font_get_type(font) != CAIRO_FONT_TYPE_USER;
  if (has) {
    cairo_glyph_t* glyphs = nullptr;
    int count = 0;
    const cairo_status_t status = cairo_scaled_font_text_to_glyphs(
        font, 0.0, 0.0, character.data(), static_cast<int>(character.size()), &glyphs, &count,
        nullptr, nullptr, nullptr);
    // Glyph 0 is the box that stands for what is missing (OpenType, .notdef).
    has = status == CAIRO_STATUS_SUCCESS && count > 0 && glyphs[0].index != 0;
    cairo_glyph_free(glyphs);
  }
  known.emplace(character, has);
  return has;
}

std::string Canvas::drawable(const std::string& words, bool bold) {
  std::string drawn;
  for (std::size_t at = 0; at < words.size();) {
    const std::size_t length = utf8_length(words[at]);
    const std::string_view character = std::string_view(words).substr(at, length);
    const std::string_view likeness = ascii_likeness(character);
    drawn += likeness.empty() || font_has(character, bold) ? character : likeness;
    at += length;
  }
  return drawn;
}

std::vector<ScriptPiece> Canvas::pieces_of(const std::string& words, const TextStyle& style) {
  std::vector<ScriptPiece> pieces{{words, Script::normal}};
  if (style.formula) pieces = formula_pieces(words);
  for (ScriptPiece& piece : pieces) piece.words = drawable(piece.words, style.bold);
  return pieces;
}

PagePoint Canvas::start_of(PagePoint at, const std::string& words, const TextStyle& style,
                           Across across) {
  const double width = across == Across::left ? 0.0 : text_width(words, style);
  const double share = across == Across::right ? 1.0 : 0.5;
  return {at.x - share * width, at.y + 0.5 * capital_height * style.size};
}

PageBox Canvas::show(PagePoint start, const std::string& words, const TextStyle& style) {
  PageBox covered;
  for (const ScriptPiece& piece : pieces_of(words, style)) {
    const double y = start.y + drop_of(piece, style);
    use(style_of(piece, style));
    cairo_text_extents_t extents{};
    cairo_text_extents(context_, piece.words.c_str(), &extents);
    cairo_move_to(context_, start.x, y);
    cairo_show_text(context_, piece.words.c_str());
    covered = around(covered, {start.x + extents.x_bearing, y + extents.y_bearing, extents.width,
                               extents.height});
    start.x += extents.x_advance;
  }
  cairo_new_path(context_);
  return covered;
}

void Canvas::text_path(PagePoint start, const std::string& words, const TextStyle& style) {
  for (const ScriptPiece& piece : pieces_of(words, style)) {
    const TextStyle part = style_of(piece, style);
    use(part);
    cairo_move_to(context_, start.x, start.y + drop_of(piece, style));
    cairo_text_path(context_, piece.words.c_str());
    cairo_text_extents_t extents{};
    cairo_text_extents(context_, piece.words.c_str(), &extents);
    start.x += extents.x_advance;
  }
}

void Canvas::text(PagePoint at, const std::string& words, const TextStyle& style, Across across) {
  texts_.push_back({show(start_of(at, words, style, across), words, style), words});
}

void Canvas::rimmed_text(PagePoint at, const std::string& words, const TextStyle& style,
                         Across across) {
  cairo_new_path(context_);
  text_path(start_of(at, words, style, across), words, style);
  use(Stroke{palette::paper, rim_width});
  cairo_set_source_rgba(context_, palette::paper.red, palette::paper.green, palette::paper.blue,
                        rim_opacity);
  cairo_stroke(context_);
  text(at, words, style, across);
}

void Canvas::upward_text(PagePoint at, const std::string& words, const TextStyle& style) {
  cairo_save(context_);
  cairo_translate(context_, at.x, at.y);
  cairo_rotate(context_, -0.5 * std::numbers::pi);
  const PageBox lying = show(start_of({0.0, 0.0}, words, style, Across::centre), words, style);
  cairo_restore(context_);
  // A quarter turn to the left takes (x, y) to (y, -x).
  texts_.push_back({{at.x + lying.top, at.y - lying.right(), lying.height, lying.width}, words});
}

double Canvas::text_width(const std::string& words, const TextStyle& style) {
  double width = 0.0;
  for (const ScriptPiece& piece : pieces_of(words, style)) {
    use(style_of(piece, style));
    cairo_text_extents_t extents{};
    cairo_text_extents(context_, piece.words.c_str(), &extents);
    width += extents.x_advance;
  }
  return width;
}

}  // namespace nestcup
