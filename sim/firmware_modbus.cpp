#include "sim/firmware_modbus.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

#include "core/base/numbers.hpp"
#include "sim/modbus_frame.hpp"

namespace nestcup::sim {

namespace {

constexpr std::size_t longest_frame = 256;
constexpr std::size_t read_request = 8;  ///< address, function, first, count, CRC
constexpr int most_registers = 125;

constexpr int illegal_function = 1;
constexpr int illegal_address = 2;
constexpr int illegal_value = 3;

int number_at(std::string_view bytes, std::size_t index) {
  return static_cast<unsigned char>(bytes[index]);
}
int word_at(std::string_view bytes, std::size_t index) {
  return number_at(bytes, index) * 256 + number_at(bytes, index + 1);
}

bool is_read(int function) {
  return function == 3 || function == 4;
}

/// The length of the request that begins with these bytes; 0 where none is whole and right.
std::size_t request_length(std::string_view bytes) {
  if (bytes.size() < 4) return 0;
  if (is_read(number_at(bytes, 1))) {
    const bool right = bytes.size() >= read_request && crc_holds(bytes.substr(0, read_request));
    return right ? read_request : 0;
  }
  // Other functions have other lengths: the shortest with a right CRC.
  for (std::size_t length = 4; length <= std::min(bytes.size(), longest_frame); ++length) {
    if (crc_holds(bytes.substr(0, length))) return length;
  }
  return 0;
}

std::vector<std::uint16_t> words_of(const Measured& measured, const Channel& channel,
                                    const BoardSettings& board) {
  const RegisterSettings& place = channel.registers;
  double number = std::numeric_limits<double>::quiet_NaN();
  if (measured.found == Found::value) {
    number = (measured.value - place.offset) / place.scale;
  } else if (const auto sentinel = parse_number(board.no_reading)) {
    number = *sentinel;
  }
  return registers_of(number, place.format, place.order);
}

bool is_at(const Channel& channel, int device, int function) {
  return channel.registers.device == device && channel.registers.function == function;
}

}  // namespace

FirmwareModbus::FirmwareModbus(const Scenario& scenario)
    : board_(scenario.board), channels_(channels_of(scenario)) {}

std::string FirmwareModbus::greeting() const {
  return joined_lines(board_.banner, "\r\n");
}

std::string FirmwareModbus::report(const Report& /*report*/) const {
  return {};
}

bool FirmwareModbus::has_device(int device) const {
  return std::any_of(channels_.begin(), channels_.end(), [device](const Channel& channel) {
    return channel.registers.device == device;
  });
}

bool FirmwareModbus::has_registers(int device, int function, int first, int count) const {
  for (int at = first; at < first + count; ++at) {
    const bool there = std::any_of(channels_.begin(), channels_.end(), [&](const Channel& channel) {
      const int begin = channel.registers.first;
      const int end = begin + register_count(channel.registers.format);
      return is_at(channel, device, function) && at >= begin && at < end;
    });
    if (!there) return false;
  }
  return true;
}

FirmwareModbus::Registers FirmwareModbus::registers_now(int device, int function,
                                                        const Report& report) const {
  Registers all;
  for (std::size_t i = 0; i < channels_.size(); ++i) {
    if (!is_at(channels_[i], device, function)) continue;
    int at = channels_[i].registers.first;
    for (const std::uint16_t word : words_of(report.channels[i], channels_[i], board_)) {
      all[at++] = word;
    }
  }
  return all;
}

std::string FirmwareModbus::answer(std::string_view request, const Measure& measure) const {
  const int device = number_at(request, 0), function = number_at(request, 1);
  if (!has_device(device)) return {};
  if (!is_read(function)) return modbus_exception(device, function, illegal_function);
  const int first = word_at(request, 2), count = word_at(request, 4);
  if (count < 1 || count > most_registers) {
    return modbus_exception(device, function, illegal_value);
  }
  if (!has_registers(device, function, first, count)) {
    return modbus_exception(device, function, illegal_address);
  }
  const Registers registers = registers_now(device, function, measure());
  std::string body{request.substr(0, 2)};
  body += static_cast<char>(static_cast<unsigned char>(count * 2));
  for (int at = first; at < first + count; ++at) {
    const unsigned word = registers.at(at);
    body += static_cast<char>(static_cast<unsigned char>(word >> 8U));
    body += static_cast<char>(static_cast<unsigned char>(word & 0xFFU));
  }
  return modbus_frame(body);
}

std::optional<std::string> FirmwareModbus::next_request() {
  for (std::size_t start = 0; start + 4 <= heard_.size(); ++start) {
    const std::size_t length = request_length(std::string_view(heard_).substr(start));
    if (length == 0) continue;
    std::string request = heard_.substr(start, length);
    heard_.erase(0, start + length);
    return request;
  }
  return std::nullopt;
}

std::vector<Answer> FirmwareModbus::hear(std::string_view bytes, const Measure& measure) {
  heard_ += bytes;
  std::vector<Answer> answers;
  while (const auto request = next_request()) {
    std::string bytes_back = answer(*request, measure);
    if (!bytes_back.empty()) answers.push_back({std::move(bytes_back), *request});
  }
  if (heard_.size() > longest_frame) heard_.erase(0, heard_.size() - longest_frame);
  return answers;
}

}  // namespace nestcup::sim
