#include "sim/spoilt_frame.hpp"

#include <algorithm>
#include <cmath>

#include "sim/modbus_frame.hpp"

namespace nestcup::sim {

namespace {

constexpr std::size_t crc_size = 2;

unsigned char byte_at(std::string_view bytes, std::size_t index) {
  return static_cast<unsigned char>(bytes[index]);
}

/// Adding 1 to 255 never leaves a byte as it was.
char another_byte(char byte, Random& random) {
  return static_cast<char>(static_cast<unsigned char>(byte) + 1U + random.below(255));
}

/// A body with a new byte in one place and the CRC that belongs to it.
std::string changed(std::string frame, std::size_t index, int value) {
  frame.resize(frame.size() - crc_size);
  frame[index] = static_cast<char>(static_cast<unsigned char>(value));
  return modbus_frame(frame);
}

bool is_whole(std::string_view frame) {
  return frame.size() > crc_size + 1;
}

/// The frame with something put before a byte in eight.
template <class What>
std::string with_inserted(const std::string& frame, Random& random, const What& what) {
  std::string made = frame;
  for (std::size_t done = 0; !frame.empty() && done < 1 + frame.size() / 8; ++done) {
    const std::size_t at = random.below(made.size());
    made.insert(at, 1, what(made[at]));
  }
  return made;
}

std::string foreign_exchange(Random& random) {
  // Addresses from 200 on are seldom given.
  const auto device = static_cast<unsigned char>(200 + random.below(48));
  std::string question{static_cast<char>(device), 3, 0, 0, 0, 1};
  std::string answer{static_cast<char>(device), 3, 2};
  answer += random_bytes(2, random);
  return modbus_frame(question) + modbus_frame(answer);
}

/// The level of the line (true: mark) at a time in the sender's bits since the first start bit.
bool level_at(std::string_view sent, double time) {
  const double whole = std::floor(time);
  if (whole < 0.0 || whole >= 10.0 * static_cast<double>(sent.size())) return true;
  const auto bit = static_cast<std::size_t>(whole);
  const std::size_t place = bit % 10;
  if (place == 0) return false;
  if (place == 9) return true;
  return (byte_at(sent, bit / 10) >> (place - 1) & 1U) != 0;
}

}  // namespace

std::string random_bytes(int count, Random& random) {
  std::string bytes;
  for (int i = 0; i < count; ++i) bytes += static_cast<char>(random.below(256));
  return bytes;
}

std::string endless_line(int count, Random& random) {
  constexpr std::string_view letters = "0123456789.,-+ abcdefghijklmnopqrstuvwxyz[]{}\":=";
  std::string bytes;
  for (int i = 0; i < count; ++i) bytes += letters[random.below(letters.size())];
  return bytes;
}

std::string foreign_talk(int count, Protocol protocol, Random& random) {
  std::string talk;
  for (int i = 0; i < count; ++i) {
    switch (protocol) {
      case Protocol::text:
        talk += "net: link at -55 dBm, 3 retries\r\n";
        break;
      case Protocol::senml:
        talk += "[{\"bn\":\"urn:dev:org:32473-other:\",\"n\":\"t\",\"u\":\"Cel\",\"v\":55.1}]\n";
        break;
      case Protocol::scpi:
        talk += "net: link at -55 dBm\n";
        break;
      case Protocol::modbus_rtu:
        talk += foreign_exchange(random);
        break;
    }
  }
  return talk;
}

std::string cut_off(const std::string& frame, Random& random) {
  return frame.size() > 3 ? frame.substr(0, 1 + random.below(frame.size() - 3)) : frame;
}

std::string corrupted(std::string frame, Random& random) {
  for (std::size_t done = 0; !frame.empty() && done < 1 + frame.size() / 4; ++done) {
    char& byte = frame[random.below(frame.size())];
    byte = another_byte(byte, random);
  }
  return frame;
}

std::string with_doubled_bytes(const std::string& frame, Random& random) {
  return with_inserted(frame, random, [](char byte) { return byte; });
}

std::string with_nul_bytes(const std::string& frame, Random& random) {
  return with_inserted(frame, random, [](char) { return '\0'; });
}

std::string heard_at(std::string_view sent, double baud_ratio) {
  const double end = 10.0 * static_cast<double>(sent.size());
  const auto next_bit = [](double time) { return std::floor(time) + 1.0; };
  std::string heard;
  double time = 0.0;
  for (;;) {
    while (time < end && level_at(sent, time)) time = next_bit(time);
    if (time >= end) return heard;
    const double start = time;
    unsigned byte = 0;
    for (unsigned bit = 0; bit < 8; ++bit) {
      const double middle = start + (1.5 + static_cast<double>(bit)) / baud_ratio;
      byte |= static_cast<unsigned>(level_at(sent, middle)) << bit;
    }
    time = start + 9.5 / baud_ratio;
    const bool stopped = level_at(sent, time);
    heard += stopped ? static_cast<char>(byte) : '\0';
    // After a byte without its end the listener waits for the line to rest.
    while (!stopped && time < end && !level_at(sent, time)) time = next_bit(time);
  }
}

std::string with_wrong_crc(std::string frame, Random& random) {
  if (is_whole(frame)) frame.back() = another_byte(frame.back(), random);
  return frame;
}

std::string from_other_address(std::string frame, Random& random) {
  if (!is_whole(frame)) return frame;
  // 1 to 246 further on, around the 247 addresses.
  const int device = 1 + (byte_at(frame, 0) + static_cast<int>(random.below(246))) % 247;
  return changed(std::move(frame), 0, device);
}

std::string of_other_function(std::string frame) {
  if (!is_whole(frame)) return frame;
  const int function = byte_at(frame, 1) == 3 ? 4 : 3;
  return changed(std::move(frame), 1, function);
}

std::string as_exception(const std::string& frame, int code) {
  if (!is_whole(frame)) return frame;
  return modbus_exception(byte_at(frame, 0), byte_at(frame, 1) & 0x7F, code);
}

}  // namespace nestcup::sim
