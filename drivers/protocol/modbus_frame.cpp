#include "drivers/protocol/modbus_frame.hpp"

#include <fmt/format.h>

#include <array>
#include <bit>

namespace nestcup::drivers {
namespace {

// Which byte of the number, A (0, the highest) to D (3), comes first, second, ...
std::array<std::size_t, 4> bytes_on_line(WordOrder order) {
  switch (order) {
    case WordOrder::ABCD:
      return {0, 1, 2, 3};
    case WordOrder::CDAB:
      return {2, 3, 0, 1};
    case WordOrder::BADC:
      return {1, 0, 3, 2};
    case WordOrder::DCBA:
      return {3, 2, 1, 0};
  }
  return {0, 1, 2, 3};
}

std::uint32_t joined(std::span<const Byte> data, WordOrder order) {
  const auto places = bytes_on_line(order);
  std::uint32_t number = 0;
  for (std::size_t i = 0; i < 4; ++i) {
    number |= static_cast<std::uint32_t>(data[i]) << (8 * (3 - places[i]));
  }
  return number;
}

}  // namespace

std::uint16_t modbus_crc(std::span<const Byte> bytes) {
  std::uint32_t crc = 0xFFFF;
  for (const Byte byte : bytes) {
    crc ^= byte;
    for (int bit = 0; bit < 8; ++bit) crc = (crc & 1) != 0 ? (crc >> 1) ^ 0xA001 : crc >> 1;
  }
  return static_cast<std::uint16_t>(crc);
}

bool checksum_holds(std::span<const Byte> frame) {
  if (frame.size() < 4) return false;
  const std::uint16_t crc = modbus_crc(frame.first(frame.size() - 2));
  return frame[frame.size() - 2] == (crc & 0xFF) && frame[frame.size() - 1] == crc >> 8;
}

std::string register_question(const RegisterPlace& place, int count) {
  std::array<Byte, question_size> frame{
      static_cast<Byte>(place.device),     static_cast<Byte>(place.function),
      static_cast<Byte>(place.first >> 8), static_cast<Byte>(place.first & 0xFF),
      static_cast<Byte>(count >> 8),       static_cast<Byte>(count & 0xFF)};
  const std::uint16_t crc = modbus_crc(std::span(frame).first(question_size - 2));
  frame[question_size - 2] = static_cast<Byte>(crc & 0xFF);
  frame[question_size - 1] = static_cast<Byte>(crc >> 8);
  return {frame.begin(), frame.end()};
}

int register_count(RegisterFormat format) {
  return format == RegisterFormat::int16 || format == RegisterFormat::uint16 ? 1 : 2;
}

double register_number(std::span<const Byte> data, RegisterFormat format, WordOrder order) {
  const auto word = [&] { return static_cast<std::uint16_t>(data[0] << 8 | data[1]); };
  switch (format) {
    case RegisterFormat::int16:
      return std::bit_cast<std::int16_t>(word());
    case RegisterFormat::uint16:
      return word();
    case RegisterFormat::int32:
      return std::bit_cast<std::int32_t>(joined(data, order));
    case RegisterFormat::uint32:
      return joined(data, order);
    case RegisterFormat::float32:
      return std::bit_cast<float>(joined(data, order));
  }
  return 0.0;
}

std::string exception_text(int code) {
  constexpr std::array<std::string_view, 12> texts{"",
                                                   "illegal function",
                                                   "illegal data address",
                                                   "illegal data value",
                                                   "server device failure",
                                                   "acknowledge",
                                                   "server device busy",
                                                   "",
                                                   "memory parity error",
                                                   "",
                                                   "gateway path unavailable",
                                                   "gateway target device failed to respond"};
  const bool known = code > 0 && code < 12 && !texts[static_cast<std::size_t>(code)].empty();
  if (!known) return fmt::format("exception {}", code);
  return fmt::format("{} (exception {})", texts[static_cast<std::size_t>(code)], code);
}

}  // namespace nestcup::drivers
