#include "core/report/drawing/heading.hpp"

#include "core/report/drawing/chart_page.hpp"

namespace nestcup {

namespace {

constexpr TextStyle title_style{15.0, palette::ink, true};
constexpr TextStyle subtitle_style{10.5, palette::quiet_ink};
constexpr std::size_t most_lines = 2;
constexpr double under_title = 3.0;
constexpr double under_heading = 8.0;

}  // namespace

ChartHeading heading(Canvas& canvas, const std::string& title,
                     std::span<const std::string> subtitles, double left) {
  const double width = page_width - page_margin - left;
  ChartHeading made{fitted(canvas, title, title_style, width, most_lines), {}, left, page_margin};
  made.bottom += made.title.height() + under_title;
  for (const std::string& subtitle : subtitles) {
    made.subtitles.push_back(fitted(canvas, subtitle, subtitle_style, width, most_lines));
    made.bottom += made.subtitles.back().height();
  }
  made.bottom += under_heading;
  return made;
}

void ChartHeading::draw(Canvas& canvas) const {
  double y = page_margin;
  draw_block(canvas, title, {left, y}, Across::left);
  y += title.height() + under_title;
  for (const TextBlock& subtitle : subtitles) {
    draw_block(canvas, subtitle, {left, y}, Across::left);
    y += subtitle.height();
  }
}

}  // namespace nestcup
