// One page with a chart: from its drawing to SVG, PNG and files. Every chart has a function
//
//   Result<ChartPage> chart_page(const SomeChart& chart);
//
// which checks the chart and lays it out; the functions below do the rest for all of them. The
// same chart gives the same bytes, whatever was drawn before.
#pragma once

#include <cairo.h>

#include <filesystem>
#include <functional>
#include <memory>
#include <string>

#include "core/base/result.hpp"
#include "core/report/drawing/canvas.hpp"
#include "core/report/words/texts.hpp"

namespace nestcup {

/// Width of every chart, pt. Scaled to the text column of an A4 page (170 mm), 10 pt become 7 pt.
inline constexpr double page_width = 680.0;
/// What stays white at the page's edges, pt.
inline constexpr double page_margin = 16.0;

/// A chart that is checked and laid out.
struct ChartPage {
  double height = 0.0;      ///< pt
  std::string title;        ///< for readers that do not see, as all texts UTF-8
  std::string description;  ///< the same: what the chart says, in a sentence or two
  Language language = Language::english;
  std::function<void(Canvas&)> draw;
};

/// The page as an SVG document.
/// @errors bad_data (a text that is not UTF-8), io (Cairo fails)
[[nodiscard]] Result<std::string> page_svg(const ChartPage& page);

/// The page as a PNG image.
/// @param scale  pixels per point (1/72 inch), 0.5 to 8; 2 suits screens, 4 print
/// @errors as page_svg; usage (scale out of range)
[[nodiscard]] Result<std::string> page_png(const ChartPage& page, double scale);

/// Writes `bytes` to `path`, over a file that is there.
/// @errors cannot_create, io
Result<void> write_bytes(const std::string& bytes, const std::filesystem::path& path);

/// A canvas that nobody sees, for measuring texts before the page is made.
class ScratchCanvas {
 public:
  ScratchCanvas();
  [[nodiscard]] Canvas& canvas() { return canvas_; }

 private:
  struct End {
    void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
    void operator()(cairo_t* context) const { cairo_destroy(context); }
  };
  std::unique_ptr<cairo_surface_t, End> surface_;
  std::unique_ptr<cairo_t, End> context_;
  Canvas canvas_;
};

/// A chart as an SVG document.
/// @errors bad_data (what the chart's `chart_page` refuses, a text that is not UTF-8)
template <class Chart>
[[nodiscard]] Result<std::string> chart_svg(const Chart& chart) {
  const Result<ChartPage> page = chart_page(chart);
  if (!page) return page.error();
  return page_svg(*page);
}

/// A chart as a PNG image.
/// @param scale  as for page_png
/// @errors as chart_svg; usage (scale out of range)
template <class Chart>
[[nodiscard]] Result<std::string> chart_png(const Chart& chart, double scale) {
  const Result<ChartPage> page = chart_page(chart);
  if (!page) return page.error();
  return page_png(*page, scale);
}

/// Writes `chart_svg` to `path`, over a file that is there.
/// @errors as chart_svg; cannot_create, io
template <class Chart>
Result<void> write_chart_svg(const Chart& chart, const std::filesystem::path& path) {
  const Result<std::string> svg = chart_svg(chart);
  if (!svg) return svg.error();
  return write_bytes(*svg, path);
}

/// Writes `chart_png` to `path`, over a file that is there.
/// @errors as chart_png; cannot_create, io
template <class Chart>
Result<void> write_chart_png(const Chart& chart, const std::filesystem::path& path, double scale) {
  const Result<std::string> png = chart_png(chart, scale);
  if (!png) return png.error();
  return write_bytes(*png, path);
}

}  // namespace nestcup
