#include "core/report/charts/run_axes.hpp"

#include <algorithm>
#include <array>
#include <string>
#include <vector>

#include "core/report/drawing/spread.hpp"

namespace nestcup {

namespace {

constexpr TextStyle period_style{10.0, palette::quiet_ink};
constexpr double name_gap = 8.0;  // between two names in one row

/// One period on the page.
struct Band {
  std::string name;
  Colour colour;
  double left;
  double right;
  [[nodiscard]] double width() const { return right - left; }
  [[nodiscard]] double middle() const { return 0.5 * (left + right); }
};

std::array<Band, 3> bands_of(const RunChart& chart, const LinearScale& time) {
  const Texts texts(chart.language);
  const auto band = [&](const char* name, const Colour& colour, const ChartSpan& span) {
    const double left = std::clamp(time.at(span.start_s), time.from, time.to);
    const double right = std::clamp(time.at(span.end_s), left, time.to);
    return Band{texts[name], colour, left, right};
  };
  return {band("period.fore", palette::outer_band, chart.fore),
          band("period.main", palette::main_band, chart.main),
          band("period.after", palette::outer_band, chart.after)};
}

/// Names in the upper row, each with a line down to its band.
void draw_upper_names(Canvas& canvas, std::span<const Band> bands, const PageBox& plot) {
  const double y = plot.top - 24.0;
  std::vector<double> widths;
  std::vector<double> wanted;
  for (const Band& band : bands) {
    widths.push_back(canvas.text_width(band.name, period_style));
    wanted.push_back(band.middle() - 0.5 * widths.back());
  }
  const std::vector<double> lefts = spread(wanted, widths, name_gap, {plot.left, plot.right()});
  for (std::size_t i = 0; i < bands.size(); ++i) {
    canvas.text({lefts[i], y}, bands[i].name, period_style, Across::left);
    const double from_x = std::clamp(bands[i].middle(), lefts[i] + 2.0, lefts[i] + widths[i] - 2.0);
    canvas.line({from_x, y + 7.0}, {bands[i].middle(), plot.top - 2.0}, strokes::leader);
  }
}

}  // namespace

void fill_periods(Canvas& canvas, const RunChart& chart, const LinearScale& time,
                  const PageBox& plot) {
  for (const Band& band : bands_of(chart, time)) {
    if (band.width() <= 0.0) continue;
    canvas.fill({band.left, plot.top, band.width(), plot.height}, band.colour);
  }
}

void draw_period_names(Canvas& canvas, const RunChart& chart, const RunFrame& frame) {
  std::vector<Band> narrow;
  for (const Band& band : bands_of(chart, frame.time())) {
    if (band.width() <= 0.0) continue;
    if (canvas.text_width(band.name, period_style) + name_gap > band.width()) {
      narrow.push_back(band);
    } else {
      canvas.text({band.middle(), frame.plot().top - 9.0}, band.name, period_style, Across::centre);
    }
  }
  draw_upper_names(canvas, narrow, frame.plot());
}

}  // namespace nestcup
