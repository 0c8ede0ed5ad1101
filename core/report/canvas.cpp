#include "core/report/canvas.hpp"

#include <array>
#include <numbers>

namespace nestcup {

namespace {

/// Height of a capital letter over the font size, near enough for every sans-serif.
constexpr double capital_height = 0.72;

constexpr double rim_width = 3.0;
constexpr double rim_opacity = 0.75;

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

void Canvas::mark(PagePoint at, Mark shape, double radius, const Colour& colour) {
  cairo_new_path(context_);
  if (shape == Mark::diamond) {
    cairo_move_to(context_, at.x, at.y - radius);
    cairo_line_to(context_, at.x + radius, at.y);
    cairo_line_to(context_, at.x, at.y + radius);
    cairo_line_to(context_, at.x - radius, at.y);
    cairo_close_path(context_);
  } else {
    cairo_arc(context_, at.x, at.y, radius, 0.0, 2.0 * std::numbers::pi);
  }
  if (shape == Mark::disc) {
    use(colour);
    cairo_fill(context_);
    return;
  }
  use(palette::paper);
  cairo_fill_preserve(context_);
  use(Stroke{colour, 1.0});
  cairo_stroke(context_);
}

void Canvas::triangle(PagePoint tip, PagePoint left, PagePoint right, const Colour& colour) {
  use(colour);
  cairo_move_to(context_, tip.x, tip.y);
  cairo_line_to(context_, left.x, left.y);
  cairo_line_to(context_, right.x, right.y);
  cairo_close_path(context_);
  cairo_fill(context_);
}

void Canvas::start_text(PagePoint at, const std::string& words, const TextStyle& style,
                        Across across) {
  const double width = across == Across::left ? 0.0 : text_width(words, style);
  const double share = across == Across::right ? 1.0 : 0.5;
  use(style);
  cairo_move_to(context_, at.x - share * width, at.y + 0.5 * capital_height * style.size);
}

void Canvas::text(PagePoint at, const std::string& words, const TextStyle& style, Across across) {
  start_text(at, words, style, across);
  cairo_show_text(context_, words.c_str());
  cairo_new_path(context_);
}

void Canvas::rimmed_text(PagePoint at, const std::string& words, const TextStyle& style,
                         Across across) {
  start_text(at, words, style, across);
  cairo_text_path(context_, words.c_str());
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
  text({0.0, 0.0}, words, style, Across::centre);
  cairo_restore(context_);
}

double Canvas::text_width(const std::string& words, const TextStyle& style) {
  use(style);
  cairo_text_extents_t extents{};
  cairo_text_extents(context_, words.c_str(), &extents);
  return extents.x_advance;
}

}  // namespace nestcup
