#include "tests/report/image.hpp"

#include <cairo.h>

#include <cmath>
#include <cstring>
#include <string_view>

namespace nestcup {

namespace {

cairo_status_t take_bytes(void* rest, unsigned char* to, unsigned int count) {
  auto& bytes = *static_cast<std::string_view*>(rest);
  if (bytes.size() < count) return CAIRO_STATUS_READ_ERROR;
  std::memcpy(to, bytes.data(), count);
  bytes.remove_prefix(count);
  return CAIRO_STATUS_SUCCESS;
}

}  // namespace

std::uint32_t Image::at(int x, int y) const {
  return pixels[static_cast<std::size_t>(y * width + x)];
}

int Image::count(const Colour& colour, int from, int to) const {
  const auto byte = [](double part) { return static_cast<std::uint32_t>(std::lround(part * 255)); };
  const std::uint32_t wanted = byte(colour.red) << 16 | byte(colour.green) << 8 | byte(colour.blue);
  int found = 0;
  for (int y = 0; y < height; ++y) {
    for (int x = from; x < to; ++x) found += at(x, y) == wanted ? 1 : 0;
  }
  return found;
}

int Image::soiled_margin(int margin) const {
  int soiled = 0;
  for (int y = 0; y < height; ++y) {
    for (int x = 0; x < width; ++x) {
      const bool is_margin =
          x < margin || y < margin || x >= width - margin || y >= height - margin;
      if (is_margin && at(x, y) != 0xFFFFFF) ++soiled;
    }
  }
  return soiled;
}

Image decoded(const std::string& png) {
  std::string_view rest = png;
  cairo_surface_t* const surface = cairo_image_surface_create_from_png_stream(take_bytes, &rest);
  Image image;
  if (cairo_surface_status(surface) == CAIRO_STATUS_SUCCESS) {
    image.width = cairo_image_surface_get_width(surface);
    image.height = cairo_image_surface_get_height(surface);
    const int stride = cairo_image_surface_get_stride(surface);
    const unsigned char* const data = cairo_image_surface_get_data(surface);
    for (int y = 0; y < image.height; ++y) {
      for (int x = 0; x < image.width; ++x) {
        std::uint32_t pixel = 0;
        std::memcpy(&pixel, data + y * stride + x * 4, sizeof pixel);
        image.pixels.push_back(pixel & 0xFFFFFF);
      }
    }
  }
  cairo_surface_destroy(surface);
  return image;
}

}  // namespace nestcup
