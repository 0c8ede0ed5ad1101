// Canvas: the few strokes, marks and texts a chart is made of, on top of Cairo.
#pragma once

#include <cairo.h>

#include <map>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "core/report/drawing/palette.hpp"
#include "core/report/words/script_text.hpp"

namespace nestcup {

/// A point on the page, pt from the top left corner.
struct PagePoint {
  double x = 0.0;
  double y = 0.0;
};

/// An upright rectangle on the page, pt.
struct PageBox {
  double left = 0.0;
  double top = 0.0;
  double width = 0.0;
  double height = 0.0;
  [[nodiscard]] double right() const { return left + width; }
  [[nodiscard]] double bottom() const { return top + height; }
};

/// How a text looks: size in pt.
struct TextStyle {
  double size = 10.0;
  Colour colour = palette::ink;
  bool bold = false;
  bool formula = false;  ///< counts of atoms low, charges high (script_text.hpp)
};

/// Which part of a text lies at the point given.
enum class Across { left, centre, right };

/// Shapes that are told apart without colour; all but the disc and the bars are open.
enum class Mark { disc, ring, diamond, square, cross, up, down };

/// What a text that was drawn covers.
struct TextBox {
  PageBox box;
  std::string words;
};

/// Draws on a Cairo context that the caller keeps alive.
class Canvas {
 public:
  explicit Canvas(cairo_t* context);

  void fill(const PageBox& box, const Colour& colour);
  void line(PagePoint from, PagePoint to, const Stroke& stroke);
  /// A line through all points; fewer than two draw nothing.
  void polyline(std::span<const PagePoint> points, const Stroke& stroke);
  /// A mark centred on `at`, `radius` pt.
  void mark(PagePoint at, Mark shape, double radius, const Colour& colour);
  /// Many discs in one path: a long run's readings stay a small drawing.
  void dots(std::span<const PagePoint> places, double radius, const Colour& colour);
  /// A filled triangle, for arrowheads and pointers.
  void triangle(PagePoint tip, PagePoint left, PagePoint right, const Colour& colour);
  /// An upright arrow from `from` to the height `to_y`; its head shrinks with it.
  void arrow(PagePoint from, double to_y, const Stroke& stroke);

  /// One line of text, vertically centred on `at` by the height of a capital.
  void text(PagePoint at, const std::string& words, const TextStyle& style, Across across);
  /// The same on a faint white rim, to stay readable over lines.
  void rimmed_text(PagePoint at, const std::string& words, const TextStyle& style, Across across);
  /// The same turned a quarter to the left, centred on `at`.
  void upward_text(PagePoint at, const std::string& words, const TextStyle& style);
  /// Width of a text, pt.
  [[nodiscard]] double text_width(const std::string& words, const TextStyle& style);

  /// What all texts drawn so far cover: their ink, not the room of their lines.
  [[nodiscard]] const std::vector<TextBox>& texts() const { return texts_; }

 private:
  void use(const Colour& colour);
  void use(const Stroke& stroke);
  void use(const TextStyle& style);
  /// A text in pieces on their levels; characters that the font lacks as their ASCII likenesses
  /// (likeness.hpp), so that no minus sign becomes a box.
  std::vector<ScriptPiece> pieces_of(const std::string& words, const TextStyle& style);
  std::string drawable(const std::string& words, bool bold);
  bool font_has(std::string_view character, bool bold);
  /// Adds the outline of a mark to the path.
  void mark_path(PagePoint at, Mark shape, double radius);
  /// Where a text's baseline must start.
  PagePoint start_of(PagePoint at, const std::string& words, const TextStyle& style, Across across);
  /// The paths of all letters, baseline from `start` on.
  void text_path(PagePoint start, const std::string& words, const TextStyle& style);
  /// Draws a text and returns what it covers.
  PageBox show(PagePoint start, const std::string& words, const TextStyle& style);

  cairo_t* context_;
  std::vector<TextBox> texts_;
  std::map<std::string, bool, std::less<>> plain_has_, bold_has_;  ///< what is known of the fonts
};

}  // namespace nestcup
