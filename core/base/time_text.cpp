#include "core/base/time_text.hpp"

#include <fmt/format.h>

#include <chrono>

namespace nestcup {

std::string rfc3339(TimeUs wall_us) {
  const std::chrono::sys_time<std::chrono::milliseconds> moment{
      std::chrono::floor<std::chrono::milliseconds>(std::chrono::microseconds{wall_us})};
  const auto day = std::chrono::floor<std::chrono::days>(moment);
  const std::chrono::year_month_day date{day};
  const std::chrono::hh_mm_ss clock{moment - day};
  return fmt::format("{:04}-{:02}-{:02}T{:02}:{:02}:{:02}.{:03}Z", static_cast<int>(date.year()),
                     static_cast<unsigned>(date.month()), static_cast<unsigned>(date.day()),
                     clock.hours().count(), clock.minutes().count(), clock.seconds().count(),
                     clock.subseconds().count());
}

namespace {

/// The decimal number in `text` from `at`, exactly `count` digits.
std::optional<int> digits(std::string_view text, std::size_t at, std::size_t count) {
  if (at + count > text.size()) return std::nullopt;
  int value = 0;
  for (const char c : text.substr(at, count)) {
    if (c < '0' || c > '9') return std::nullopt;
    value = value * 10 + (c - '0');
  }
  return value;
}

/// Offset of the zone designator at `at`: "Z" or "+hh:mm", in minutes.
std::optional<int> zone_minutes(std::string_view text, std::size_t at) {
  if (at + 1 == text.size() && (text[at] == 'Z' || text[at] == 'z')) return 0;
  if (at + 6 != text.size() || (text[at] != '+' && text[at] != '-') || text[at + 3] != ':') {
    return std::nullopt;
  }
  const auto hours = digits(text, at + 1, 2);
  const auto minutes = digits(text, at + 4, 2);
  if (!hours || !minutes || *hours > 23 || *minutes > 59) return std::nullopt;
  const int total = *hours * 60 + *minutes;
  return text[at] == '-' ? -total : total;
}

}  // namespace

std::optional<TimeUs> parse_rfc3339(std::string_view text) {
  if (text.size() < 20 || text[4] != '-' || text[7] != '-' ||
      (text[10] != 'T' && text[10] != 't') || text[13] != ':' || text[16] != ':') {
    return std::nullopt;
  }
  const auto y = digits(text, 0, 4), mo = digits(text, 5, 2), d = digits(text, 8, 2);
  const auto h = digits(text, 11, 2), mi = digits(text, 14, 2), s = digits(text, 17, 2);
  if (!y || !mo || !d || !h || !mi || !s || *h > 23 || *mi > 59 || *s > 60) return std::nullopt;
  const std::chrono::year_month_day date{std::chrono::year{*y},
                                         std::chrono::month{static_cast<unsigned>(*mo)},
                                         std::chrono::day{static_cast<unsigned>(*d)}};
  if (!date.ok()) return std::nullopt;
  std::size_t at = 19;
  TimeUs fraction_us = 0;
  if (text[at] == '.') {
    if (!digits(text, ++at, 1)) return std::nullopt;
    TimeUs weight = 100'000;
    for (; at < text.size() && text[at] >= '0' && text[at] <= '9'; ++at, weight /= 10) {
      fraction_us += weight * (text[at] - '0');
    }
  }
  const auto zone = at < text.size() ? zone_minutes(text, at) : std::nullopt;
  if (!zone) return std::nullopt;
  const auto moment = std::chrono::sys_days{date} + std::chrono::hours{*h} +
                      std::chrono::minutes{*mi - *zone} + std::chrono::seconds{*s};
  return std::chrono::duration_cast<std::chrono::microseconds>(moment.time_since_epoch()).count() +
         fraction_us;
}

std::string uuid_v7(std::uint64_t unix_ms, const std::array<std::uint8_t, 10>& random) {
  std::array<std::uint8_t, 16> bytes{};
  for (std::size_t i = 0; i < 6; ++i) {
    bytes[i] = static_cast<std::uint8_t>(unix_ms >> (8 * (5 - i)));
  }
  for (std::size_t i = 0; i < 10; ++i) bytes[6 + i] = random[i];
  bytes[6] = static_cast<std::uint8_t>((bytes[6] & 0x0F) | 0x70);
  bytes[8] = static_cast<std::uint8_t>((bytes[8] & 0x3F) | 0x80);
  std::string text;
  for (std::size_t i = 0; i < 16; ++i) {
    if (i == 4 || i == 6 || i == 8 || i == 10) text += '-';
    text += fmt::format("{:02x}", bytes[i]);
  }
  return text;
}

}  // namespace nestcup
