#include "core/report/chart_axes.hpp"

#include <algorithm>
#include <array>
#include <vector>

#include "core/report/ticks.hpp"

namespace nestcup {

namespace {

constexpr TextStyle title_style{15.0, palette::ink, true};
constexpr TextStyle subtitle_style{10.0, palette::quiet_ink};
constexpr TextStyle period_style{10.0, palette::quiet_ink};
constexpr TextStyle tick_style{10.0, palette::ink};
constexpr TextStyle quantity_style{11.0, palette::ink};

const char* const ellipsis = "\xE2\x80\xA6";
constexpr double name_gap = 8.0;  // between two names in one row
constexpr double tick_length = 4.0;

/// One period on the page.
struct Band {
  const char* name;
  Colour colour;
  double left;
  double right;
  [[nodiscard]] double width() const { return right - left; }
  [[nodiscard]] double middle() const { return 0.5 * (left + right); }
};

std::array<Band, 3> bands_of(const RunChart& chart, const ChartFrame& frame) {
  const PageBox& plot = frame.plot();
  const auto band = [&](const char* name, const Colour& colour, const ChartSpan& span) {
    const double left = std::clamp(frame.x(span.start_s), plot.left, plot.right());
    const double right = std::clamp(frame.x(span.end_s), left, plot.right());
    return Band{name, colour, left, right};
  };
  return {band("foreperiod", palette::outer_band, chart.fore),
          band("main period", palette::main_band, chart.main),
          band("after period", palette::outer_band, chart.after)};
}

/// Left ends for texts of these widths, each as near to its `wanted` end as the row's bounds and
/// its neighbours allow: pushed to the right first, then back from the right bound.
std::vector<double> spread(std::vector<double> wanted, std::span<const double> widths, Range row) {
  double free_from = row.low;
  for (std::size_t i = 0; i < wanted.size(); ++i) {
    wanted[i] = std::max(wanted[i], free_from);
    free_from = wanted[i] + widths[i] + name_gap;
  }
  double free_to = row.high;
  for (std::size_t i = wanted.size(); i-- > 0;) {
    wanted[i] = std::min(wanted[i], free_to - widths[i]);
    free_to = wanted[i] - name_gap;
  }
  return wanted;
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
  const std::vector<double> lefts = spread(wanted, widths, {plot.left, plot.right()});
  for (std::size_t i = 0; i < bands.size(); ++i) {
    canvas.text({lefts[i], y}, bands[i].name, period_style, Across::left);
    const double from_x = std::clamp(bands[i].middle(), lefts[i] + 2.0, lefts[i] + widths[i] - 2.0);
    canvas.line({from_x, y + 7.0}, {bands[i].middle(), plot.top - 2.0}, strokes::leader);
  }
}

/// Writes each name above its band, or in the upper row where it is wider than the band.
void draw_names(Canvas& canvas, std::span<const Band> bands, const PageBox& plot) {
  std::vector<Band> narrow;
  for (const Band& band : bands) {
    if (band.width() <= 0.0) continue;
    if (canvas.text_width(band.name, period_style) + name_gap > band.width()) {
      narrow.push_back(band);
    } else {
      canvas.text({band.middle(), plot.top - 9.0}, band.name, period_style, Across::centre);
    }
  }
  draw_upper_names(canvas, narrow, plot);
}

void draw_time_axis(Canvas& canvas, const ChartFrame& frame) {
  const PageBox& plot = frame.plot();
  const Ticks ticks = round_ticks(frame.time().low, frame.time().high, 9);
  for (const double time_s : ticks.values) {
    const double x = frame.x(time_s);
    canvas.line({x, plot.bottom()}, {x, plot.bottom() + tick_length}, strokes::frame);
    canvas.text({x, plot.bottom() + 13.0}, tick_text(time_s, ticks.decimals), tick_style,
                Across::centre);
  }
  canvas.line({plot.left, plot.bottom()}, {plot.right(), plot.bottom()}, strokes::frame);
  canvas.text({plot.left + 0.5 * plot.width, plot.bottom() + 32.0}, "time / s", quantity_style,
              Across::centre);
}

void draw_temperature_axis(Canvas& canvas, const ChartFrame& frame) {
  const PageBox& plot = frame.plot();
  const Ticks ticks = round_ticks(frame.temperature().low, frame.temperature().high, 8);
  double widest = 0.0;
  for (const double temperature_degC : ticks.values) {
    const double y = frame.y(temperature_degC);
    const std::string label = tick_text(temperature_degC, ticks.decimals);
    widest = std::max(widest, canvas.text_width(label, tick_style));
    canvas.line({plot.left, y}, {plot.right(), y}, strokes::grid);
    canvas.line({plot.left - tick_length, y}, {plot.left, y}, strokes::frame);
    canvas.text({plot.left - 8.0, y}, label, tick_style, Across::right);
  }
  canvas.line({plot.left, plot.top}, {plot.left, plot.bottom()}, strokes::frame);
  canvas.upward_text({plot.left - widest - 22.0, plot.top + 0.5 * plot.height},
                     "temperature / \xC2\xB0"
                     "C",
                     quantity_style);
}

/// `words`, cut with an ellipsis where they are wider than `width`.
std::string shortened(Canvas& canvas, const std::string& words, const TextStyle& style,
                      double width) {
  std::string kept = words;
  while (!kept.empty() &&
         canvas.text_width(kept == words ? kept : kept + ellipsis, style) > width) {
    // A UTF-8 character goes as a whole: its following bytes are 10xxxxxx.
    while (kept.size() > 1 && (static_cast<unsigned char>(kept.back()) & 0xC0) == 0x80) {
      kept.pop_back();
    }
    kept.pop_back();
  }
  return kept == words ? kept : kept + ellipsis;
}

}  // namespace

double draw_heading(Canvas& canvas, const RunChart& chart, double left, double width) {
  double y = 22.0;
  canvas.text({left, y}, shortened(canvas, chart.title, title_style, width), title_style,
              Across::left);
  y += 6.0;
  for (const std::string& subtitle : chart.subtitles) {
    y += 14.0;
    canvas.text({left, y - 2.0}, shortened(canvas, subtitle, subtitle_style, width), subtitle_style,
                Across::left);
  }
  return y + 8.0;
}

void draw_periods(Canvas& canvas, const RunChart& chart, const ChartFrame& frame) {
  const PageBox& plot = frame.plot();
  const std::array<Band, 3> bands = bands_of(chart, frame);
  for (const Band& band : bands) {
    if (band.width() > 0.0) {
      canvas.fill({band.left, plot.top, band.width(), plot.height}, band.colour);
    }
  }
  draw_names(canvas, bands, plot);
}

void draw_axes(Canvas& canvas, const ChartFrame& frame) {
  draw_temperature_axis(canvas, frame);
  draw_time_axis(canvas, frame);
}

}  // namespace nestcup
