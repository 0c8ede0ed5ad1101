#include "sim/modbus_frame.hpp"

#include <bit>
#include <cmath>
#include <limits>

namespace nestcup::sim {

namespace {

char byte_of(unsigned value) {
  return static_cast<char>(static_cast<unsigned char>(value & 0xFFU));
}

/// The bits of a whole number of this type; the sentinel where it does not fit.
template <class Whole>
std::uint32_t whole_bits(double number, Whole sentinel) {
  const double rounded = std::round(number);
  const bool fits = rounded >= static_cast<double>(std::numeric_limits<Whole>::min()) &&
                    rounded <= static_cast<double>(std::numeric_limits<Whole>::max());
  return static_cast<std::uint32_t>(fits ? static_cast<Whole>(rounded) : sentinel);
}

std::uint32_t bits_of(double number, NumberFormat format) {
  switch (format) {
    case NumberFormat::int16:
      return whole_bits<std::int16_t>(number, std::numeric_limits<std::int16_t>::min()) & 0xFFFFU;
    case NumberFormat::uint16:
      return whole_bits<std::uint16_t>(number, std::numeric_limits<std::uint16_t>::max());
    case NumberFormat::int32:
      return whole_bits<std::int32_t>(number, std::numeric_limits<std::int32_t>::min());
    case NumberFormat::uint32:
      return whole_bits<std::uint32_t>(number, std::numeric_limits<std::uint32_t>::max());
    case NumberFormat::float32:
      break;
  }
  const bool fits = std::abs(number) <= static_cast<double>(std::numeric_limits<float>::max());
  return std::bit_cast<std::uint32_t>(fits ? static_cast<float>(number)
                                           : std::numeric_limits<float>::quiet_NaN());
}

std::uint16_t swapped(std::uint16_t word) {
  return static_cast<std::uint16_t>(word << 8U | word >> 8U);
}

}  // namespace

std::uint16_t modbus_crc(std::string_view bytes) {
  unsigned crc = 0xFFFFU;
  for (const char byte : bytes) {
    crc ^= static_cast<unsigned char>(byte);
    for (int bit = 0; bit < 8; ++bit) crc = (crc & 1U) != 0 ? crc >> 1U ^ 0xA001U : crc >> 1U;
  }
  return static_cast<std::uint16_t>(crc);
}

std::string modbus_frame(std::string_view body) {
  const unsigned crc = modbus_crc(body);
  std::string frame{body};
  frame += byte_of(crc);
  frame += byte_of(crc >> 8U);
  return frame;
}

bool crc_holds(std::string_view frame) {
  // The CRC of a frame together with its CRC is 0.
  return frame.size() >= 4 && modbus_crc(frame) == 0;
}

std::string modbus_exception(int device, int function, int code) {
  std::string body;
  body += byte_of(static_cast<unsigned>(device));
  body += byte_of(static_cast<unsigned>(function) | 0x80U);
  body += byte_of(static_cast<unsigned>(code));
  return modbus_frame(body);
}

std::vector<std::uint16_t> registers_of(double number, NumberFormat format, WordOrder order) {
  const std::uint32_t bits = bits_of(number, format);
  auto high = static_cast<std::uint16_t>(bits >> 16U);
  auto low = static_cast<std::uint16_t>(bits & 0xFFFFU);
  if (format == NumberFormat::int16 || format == NumberFormat::uint16) return {low};
  if (order == WordOrder::BADC || order == WordOrder::DCBA) {
    high = swapped(high);
    low = swapped(low);
  }
  if (order == WordOrder::CDAB || order == WordOrder::DCBA) return {low, high};
  return {high, low};
}

}  // namespace nestcup::sim
