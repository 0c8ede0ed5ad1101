#include "core/base/utf8.hpp"

#include <array>

namespace nestcup {
namespace {

/// The code point that begins at `at`, which moves behind it; nothing where the bytes are not UTF-8
/// (RFC 3629: no overlong forms, no surrogates, nothing beyond U+10FFFF).
std::optional<char32_t> next_code_point(std::string_view text, std::size_t& at) {
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
  const unsigned char first = byte(at);
  if (first < 0x80) {
    ++at;
    return first;
  }
  const std::size_t length = first < 0xC2   ? 0
                             : first < 0xE0 ? 2
                             : first < 0xF0 ? 3
                             : first < 0xF5 ? 4
                                            : 0;
  if (length == 0 || at + length > text.size()) return std::nullopt;
  char32_t point = first & (0xFFu >> (length + 1));
  for (std::size_t i = 1; i < length; ++i) {
    if ((byte(at + i) & 0xC0) != 0x80) return std::nullopt;
    point = (point << 6) | (byte(at + i) & 0x3F);
  }
  constexpr std::array<char32_t, 5> smallest = {0, 0, 0x80, 0x800, 0x10000};
  const bool surrogate = point >= 0xD800 && point < 0xE000;
  if (point < smallest[length] || point > 0x10FFFF || surrogate) return std::nullopt;
  at += length;
  return point;
}

}  // namespace

std::optional<std::u16string> utf16(std::string_view text) {
  std::u16string units;
  for (std::size_t at = 0; at < text.size();) {
    const std::optional<char32_t> point = next_code_point(text, at);
    if (!point) return std::nullopt;
    if (*point < 0x10000) {
      units += static_cast<char16_t>(*point);
    } else {
      units += static_cast<char16_t>(0xD800 + ((*point - 0x10000) >> 10));
      units += static_cast<char16_t>(0xDC00 + ((*point - 0x10000) & 0x3FF));
    }
  }
  return units;
}

bool is_utf8(std::string_view text) {
  for (std::size_t at = 0; at < text.size();) {
    if (!next_code_point(text, at)) return false;
  }
  return true;
}

}  // namespace nestcup
