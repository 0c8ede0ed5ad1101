#include "core/report/run_chart.hpp"

#include <cairo-svg.h>
#include <cairo.h>
#include <fmt/format.h>

#include <cerrno>
#include <cmath>
#include <cstring>
#include <fstream>
#include <memory>

#include "core/report/chart_axes.hpp"
#include "core/report/chart_marks.hpp"
#include "core/report/svg_text.hpp"

namespace nestcup {

namespace {

struct CairoEnd {
  void operator()(cairo_surface_t* surface) const { cairo_surface_destroy(surface); }
  void operator()(cairo_t* context) const { cairo_destroy(context); }
};
using Surface = std::unique_ptr<cairo_surface_t, CairoEnd>;
using Context = std::unique_ptr<cairo_t, CairoEnd>;

cairo_status_t append_bytes(void* text, const unsigned char* bytes, unsigned int count) {
  static_cast<std::string*>(text)->append(bytes, bytes + count);
  return CAIRO_STATUS_SUCCESS;
}

Error drawing_error(cairo_status_t status) {
  if (status == CAIRO_STATUS_INVALID_STRING) {
    return {Fault::bad_data, "chart: title or subtitle is not UTF-8; save the sheet as UTF-8"};
  }
  return {Fault::io, fmt::format("chart: drawing failed: {}", cairo_status_to_string(status))};
}

/// Draws everything on `surface`, on a page of page_width x page_height pt.
Result<void> draw(const RunChart& chart, cairo_surface_t* surface) {
  const Context context(cairo_create(surface));
  Canvas canvas(context.get());
  canvas.fill({0.0, 0.0, page_width, page_height}, palette::paper);
  constexpr double left = 74.0;
  const double top =
      draw_heading(canvas, chart, left, page_width - left - 20.0) + period_strip_height;
  const PageBox plot{left, top, page_width - left - 46.0, page_height - top - 50.0};
  const double foot_room = moment_lane_height(canvas, chart, plot) + 20.0;
  const ChartFrame frame(plot, time_range(chart), temperature_range(chart), 20.0, foot_room);
  draw_periods(canvas, chart, frame);
  draw_axes(canvas, frame);
  draw_moments(canvas, chart, frame);
  draw_readings(canvas, chart, frame);
  draw_rise(canvas, chart, frame);
  const cairo_status_t status = cairo_status(context.get());
  if (status != CAIRO_STATUS_SUCCESS) return drawing_error(status);
  return {};
}

Result<void> write_bytes(const Result<std::string>& bytes, const std::filesystem::path& path) {
  if (!bytes) return bytes.error();
  errno = 0;
  std::ofstream file(path, std::ios::binary | std::ios::trunc);
  if (!file) {
    return Error{Fault::cannot_create,
                 fmt::format("{}: cannot create: {}", path.string(), std::strerror(errno))};
  }
  file.write(bytes->data(), static_cast<std::streamsize>(bytes->size()));
  file.close();
  if (!file) {
    return Error{Fault::io,
                 fmt::format("{}: writing failed: {}", path.string(), std::strerror(errno))};
  }
  return {};
}

}  // namespace

Result<std::string> chart_svg(const RunChart& chart) {
  if (auto checked = check_chart(chart); !checked) return checked.error();
  std::string text;
  const Surface surface(
      cairo_svg_surface_create_for_stream(append_bytes, &text, page_width, page_height));
  if (auto drawn = draw(chart, surface.get()); !drawn) return drawn.error();
  cairo_surface_finish(surface.get());
  const cairo_status_t status = cairo_surface_status(surface.get());
  if (status != CAIRO_STATUS_SUCCESS) return drawing_error(status);
  return finished_svg(text, chart.title);
}

Result<std::string> chart_png(const RunChart& chart, double scale) {
  if (auto checked = check_chart(chart); !checked) return checked.error();
  if (!(scale >= 0.5 && scale <= 8.0)) {
    return Error{Fault::usage, fmt::format("chart: scale {} is not within 0.5 to 8", scale)};
  }
  const Surface surface(cairo_image_surface_create(
      CAIRO_FORMAT_RGB24, static_cast<int>(std::lround(page_width * scale)),
      static_cast<int>(std::lround(page_height * scale))));
  cairo_surface_set_device_scale(surface.get(), scale, scale);
  if (auto drawn = draw(chart, surface.get()); !drawn) return drawn.error();
  std::string bytes;
  const cairo_status_t status =
      cairo_surface_write_to_png_stream(surface.get(), append_bytes, &bytes);
  if (status != CAIRO_STATUS_SUCCESS) return drawing_error(status);
  return bytes;
}

Result<void> write_chart_svg(const RunChart& chart, const std::filesystem::path& path) {
  return write_bytes(chart_svg(chart), path);
}

Result<void> write_chart_png(const RunChart& chart, const std::filesystem::path& path,
                             double scale) {
  return write_bytes(chart_png(chart, scale), path);
}

}  // namespace nestcup
