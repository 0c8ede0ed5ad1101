#include <fmt/format.h>

#include <optional>
#include <string>

#include "core/report/charts/run_marks.hpp"

namespace nestcup {

namespace {

constexpr TextStyle moment_style{10.0, palette::quiet_ink};
constexpr double row_height = 14.0;
constexpr double lane_margin = 3.0;
constexpr double aside = 4.0;  // between a line and its name

/// A named moment on the page.
struct Moment {
  std::string words;
  double x = 0.0;
  double width = 0.0;  ///< of the words, pt
  [[nodiscard]] bool fits_left(const PageBox& plot) const { return x - aside - width >= plot.left; }
  [[nodiscard]] bool fits_right(const PageBox& plot) const {
    return x + aside + width <= plot.right();
  }
};

Moment moment_at(Canvas& canvas, const RunChart& chart, const char* key, double time_s,
                 const PageBox& plot) {
  const Texts texts(chart.language);
  const std::string time = texts.number(fmt::format("{:.1f} s", time_s));
  Moment moment{texts.fill(key, {{"time", time}}), 0.0, 0.0};
  moment.x = LinearScale{time_range(chart), plot.left, plot.right()}.at(time_s);
  moment.width = canvas.text_width(moment.words, moment_style);
  return moment;
}

/// Both moments and where their names go.
struct Moments {
  std::optional<Moment> mixing;
  std::optional<Moment> equal_area;
  int rows = 0;
  bool mixing_on_left = false;
  bool equal_area_on_left = false;
};

/// The mixing time's name prefers the left of its line, the equal-area time's the right: then one
/// row holds both.
Moments arranged(Canvas& canvas, const RunChart& chart, const PageBox& plot) {
  Moments found;
  if (chart.mixing_time_s) {
    found.mixing = moment_at(canvas, chart, "run_chart.mixing_time", *chart.mixing_time_s, plot);
    found.mixing_on_left = found.mixing->fits_left(plot);
    found.rows = 1;
  }
  if (chart.equal_area_time_s) {
    found.equal_area =
        moment_at(canvas, chart, "run_chart.equal_area_time", *chart.equal_area_time_s, plot);
    found.equal_area_on_left = !found.equal_area->fits_right(plot);
    const bool same_side = found.mixing && found.mixing_on_left == found.equal_area_on_left;
    found.rows = same_side ? 2 : 1;
  }
  return found;
}

/// The line stops at its name's row, so that it does not cross a name in the row below.
void draw_moment(Canvas& canvas, const Moment& moment, bool on_left, double y,
                 const PageBox& plot) {
  canvas.line({moment.x, plot.top}, {moment.x, y + 0.5 * row_height}, strokes::moment);
  canvas.rimmed_text({on_left ? moment.x - aside : moment.x + aside, y}, moment.words, moment_style,
                     on_left ? Across::right : Across::left);
}

}  // namespace

double moment_lane_height(Canvas& canvas, const RunChart& chart, const PageBox& plot) {
  return arranged(canvas, chart, plot).rows * row_height + lane_margin;
}

void draw_moments(Canvas& canvas, const RunChart& chart, const RunFrame& frame) {
  const PageBox& plot = frame.plot();
  const Moments moments = arranged(canvas, chart, plot);
  const double lower_y = plot.bottom() - 0.5 * row_height;
  const double upper_y = lower_y - (moments.rows - 1) * row_height;
  // Of two names on one side, the one whose line is nearer to them both stands higher: its line
  // then ends above the other name.
  const bool mixing_is_upper = moments.mixing_on_left;
  if (moments.equal_area) {
    draw_moment(canvas, *moments.equal_area, moments.equal_area_on_left,
                mixing_is_upper ? lower_y : upper_y, plot);
  }
  if (!moments.mixing) return;
  draw_moment(canvas, *moments.mixing, moments.mixing_on_left, mixing_is_upper ? upper_y : lower_y,
              plot);
  const double x = moments.mixing->x;
  canvas.triangle({x, plot.bottom()}, {x - 4.0, plot.bottom() + 7.0},
                  {x + 4.0, plot.bottom() + 7.0}, palette::quiet_ink);
}

}  // namespace nestcup
