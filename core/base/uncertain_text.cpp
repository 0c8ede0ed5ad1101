#include "core/base/uncertain_text.hpp"

#include <fmt/format.h>

#include <charconv>
#include <cmath>

#include "core/base/numbers.hpp"

namespace nestcup {

namespace {

/// The power of ten of the second significant digit of `u`, after rounding to two digits
/// (0.0996 becomes 0.10, so its last place is -2).
int last_place(double u) {
  const std::string rounded = fmt::format("{:.1e}", u);
  int exponent = 0;
  const std::size_t at = rounded.find('e') + 1;
  const std::size_t digits = rounded[at] == '+' ? at + 1 : at;
  std::from_chars(rounded.data() + digits, rounded.data() + rounded.size(), exponent);
  return exponent - 1;
}

/// `value` rounded to a multiple of 10^place, without a sign on zero.
std::string rounded_text(double value, int place) {
  if (place > 0) {
    const double step = std::pow(10.0, place);
    value = std::round(value / step) * step;
  }
  std::string text = fmt::format("{:.{}f}", value, place < 0 ? -place : 0);
  const bool is_zero = text.find_first_of("123456789") == std::string::npos;
  if (is_zero && text.front() == '-') text.erase(0, 1);
  return text;
}

}  // namespace

std::string uncertain_text(const Uncertain& quantity, std::string_view unit) {
  const std::string behind = unit.empty() ? "" : fmt::format(" {}", unit);
  if (quantity.u == 0.0) return number_text(quantity.value) + behind;
  const int place = last_place(quantity.u);
  return fmt::format("{} \xC2\xB1 {}{}", rounded_text(quantity.value, place),
                     rounded_text(quantity.u, place), behind);
}

}  // namespace nestcup
