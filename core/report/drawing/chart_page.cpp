#include "core/report/drawing/chart_page.hpp"

#include <cairo-svg.h>
#include <fmt/format.h>

#include <cerrno>
#include <cmath>
#include <cstring>
#include <fstream>

#include "core/report/drawing/svg_text.hpp"

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
    return {Fault::bad_data, "chart: a text in it is not UTF-8; save the sheet as UTF-8"};
  }
  return {Fault::io, fmt::format("chart: drawing failed: {}", cairo_status_to_string(status))};
}

Result<void> draw(const ChartPage& page, cairo_surface_t* surface) {
  const Context context(cairo_create(surface));
  Canvas canvas(context.get());
  // One more than the page: its last row of pixels may be cut through.
  canvas.fill({0.0, 0.0, page_width + 1.0, page.height + 1.0}, palette::paper);
  page.draw(canvas);
  const cairo_status_t status = cairo_status(context.get());
  if (status != CAIRO_STATUS_SUCCESS) return drawing_error(status);
  return {};
}

}  // namespace

Result<std::string> page_svg(const ChartPage& page) {
  std::string text;
  const Surface surface(
      cairo_svg_surface_create_for_stream(append_bytes, &text, page_width, page.height));
  if (auto drawn = draw(page, surface.get()); !drawn) return drawn.error();
  cairo_surface_finish(surface.get());
  const cairo_status_t status = cairo_surface_status(surface.get());
  if (status != CAIRO_STATUS_SUCCESS) return drawing_error(status);
  return finished_svg(text, {page.title, page.description, language_tag(page.language)});
}

Result<std::string> page_png(const ChartPage& page, double scale) {
  if (!(scale >= 0.5 && scale <= 8.0)) {
    return Error{Fault::usage, fmt::format("chart: scale {} is not within 0.5 to 8", scale)};
  }
  const Surface surface(cairo_image_surface_create(
      CAIRO_FORMAT_RGB24, static_cast<int>(std::lround(page_width * scale)),
      static_cast<int>(std::lround(page.height * scale))));
  cairo_surface_set_device_scale(surface.get(), scale, scale);
  if (auto drawn = draw(page, surface.get()); !drawn) return drawn.error();
  std::string bytes;
  const cairo_status_t status =
      cairo_surface_write_to_png_stream(surface.get(), append_bytes, &bytes);
  if (status != CAIRO_STATUS_SUCCESS) return drawing_error(status);
  return bytes;
}

Result<void> write_bytes(const std::string& bytes, const std::filesystem::path& path) {
  errno = 0;
  std::ofstream file(path, std::ios::binary | std::ios::trunc);
  if (!file) {
    return Error{Fault::cannot_create,
                 fmt::format("{}: cannot create: {}", path.string(), std::strerror(errno))};
  }
  file.write(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  file.close();
  if (!file) {
    return Error{Fault::io,
                 fmt::format("{}: writing failed: {}", path.string(), std::strerror(errno))};
  }
  return {};
}

ScratchCanvas::ScratchCanvas()
    : surface_(cairo_recording_surface_create(CAIRO_CONTENT_COLOR, nullptr)),
      context_(cairo_create(surface_.get())),
      canvas_(context_.get()) {}

}  // namespace nestcup
