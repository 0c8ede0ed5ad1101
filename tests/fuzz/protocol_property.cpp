#include "tests/fuzz/protocol_property.hpp"

#include <algorithm>
#include <cmath>
#include <memory>
#include <vector>

#include "drivers/port_decoder.hpp"
#include "drivers/protocol/modbus_frame.hpp"
#include "drivers/protocol/text_lines.hpp"

namespace nestcup::fuzzing {
namespace {

using namespace nestcup::drivers;

struct Seen {
  std::size_t probe;
  TimeUs time_us;
  double temperature_degC;
  double raw;
  bool operator==(const Seen&) const = default;
};

struct Outcome {
  std::vector<Seen> readings;
  std::vector<FaultCounts> probe_faults;
  FaultCounts line_faults;
  std::vector<std::string> remarks;
  std::vector<std::string> questions;
  std::uint64_t lines = 0;
  std::uint64_t headers = 0;
  std::uint64_t data = 0;
  std::uint64_t late = 0;
  bool operator==(const Outcome&) const = default;
};

/// Settings chosen by the input's first bytes.
struct Choice {
  PortSettings port;
  std::vector<ProbeSettings> probes;
  std::size_t longest_piece = 1;
  std::size_t question_every = 0;  ///< bytes; 0: the device talks by itself
  bool makes_frames = false;
};

void choose_text(Choice& choice, std::span<const std::uint8_t> head) {
  choice.port.separator = std::string_view(",;\t ")[head[0] % 4];
  const bool comma = head[1] % 2 == 1 && choice.port.separator != ',';
  choice.port.decimal = comma ? Decimal::comma : Decimal::point;
  if (head[1] / 4 % 2 == 1) choice.port.request = "?\n";
}

void choose_place(ChannelSettings& channel, const Choice& choice, int number,
                  std::span<const std::uint8_t> head) {
  const std::string& protocol = choice.port.protocol;
  if (protocol == "text" && head[1] / 2 % 2 == 0) channel.column = number;
  if (protocol == "text" && head[1] / 2 % 2 == 1) channel.key = "T" + std::to_string(number);
  if (protocol == "senml") channel.key = "t" + std::to_string(number);
  if (protocol == "scpi") {
    channel.query = number < 3 ? "READ?" : "MEAS:TEMP?";
    channel.column = number;
  }
  if (protocol == "modbus-rtu") {
    channel.registers = RegisterPlace{1 + head[0] % 2 * number, 3 + head[0] / 2 % 2, 2 * number,
                                      static_cast<RegisterFormat>((head[1] + number) % 5),
                                      static_cast<WordOrder>(head[2] % 4)};
    channel.scale = 0.1;
  }
}

Choice choose(std::string_view protocol, std::span<const std::uint8_t> head) {
  Choice choice;
  choice.port.protocol = protocol;
  if (protocol == "text") choose_text(choice, head);
  if (protocol == "senml" && head[1] % 2 == 1) choice.port.request = "R\n";
  for (int number = 1; number <= 3; ++number) {
    ProbeSettings probe;
    probe.name = "p" + std::to_string(number);
    probe.channel.name = probe.name;
    choose_place(probe.channel, choice, number, head);
    probe.channel.unit = static_cast<RawUnit>((head[2] + number) % 3);
    choice.probes.push_back(probe);
  }
  choice.longest_piece = 1 + head[3];
  choice.question_every = 1 + head[0] / 4;
  choice.makes_frames = protocol == "modbus-rtu" && head[3] % 2 == 1;
  return choice;
}

/// The stretch with the checksum of its other bytes at its end.
std::string with_checksum(std::string bytes) {
  if (bytes.size() < 4) return bytes;
  const std::vector<Byte> before(bytes.begin(), bytes.end() - 2);
  const std::uint16_t crc = modbus_crc(before);
  bytes[bytes.size() - 2] = static_cast<char>(crc & 0xFF);
  bytes[bytes.size() - 1] = static_cast<char>(crc >> 8);
  return bytes;
}

/// Feeds the stream as `feed_stretch` does, a question before each stretch where one is due.
template <class FeedStretch>
Outcome decode(const Choice& choice, const std::string& stream, FeedStretch feed_stretch) {
  Outcome outcome;
  auto made = PortDecoder::make(
      choice.port, choice.probes,
      [&](std::size_t probe, TimeUs time_us, double degC, double raw) {
        outcome.readings.push_back({probe, time_us, degC, raw});
      },
      [&](std::string_view text) { outcome.remarks.emplace_back(text); });
  PortDecoder& decoder = **made;
  const std::size_t size =
      decoder.is_polled() ? choice.question_every : std::max<std::size_t>(stream.size(), 1);
  TimeUs now_us = 1000;
  for (std::size_t at = 0; at < stream.size(); at += size) {
    now_us += 700'000;
    if (decoder.is_polled() && !decoder.is_answered()) decoder.give_up(now_us);
    if (decoder.is_polled()) outcome.questions.push_back(decoder.next_request(now_us));
    std::string stretch = stream.substr(at, size);
    if (choice.makes_frames) stretch = with_checksum(stretch);
    feed_stretch(decoder, stretch, now_us);
  }
  decoder.reset();
  for (const auto& probe : decoder.probes()) outcome.probe_faults.push_back(probe.faults);
  outcome.line_faults = decoder.lines().faults;
  outcome.lines = decoder.lines().total();
  outcome.headers = decoder.lines().headers;
  outcome.data = decoder.lines().data;
  outcome.late = decoder.lines().late;
  return outcome;
}

Outcome decode_whole(const Choice& choice, const std::string& stream) {
  return decode(choice, stream, [](PortDecoder& decoder, std::string_view stretch, TimeUs now_us) {
    decoder.feed(stretch, now_us);
  });
}

// Pieces of changing length, empty ones among them; a small generator of its own keeps it the same
// for the same input.
Outcome decode_in_pieces(const Choice& choice, const std::string& stream) {
  auto state = static_cast<std::uint32_t>(choice.longest_piece);
  return decode(choice, stream, [&](PortDecoder& decoder, std::string_view stretch, TimeUs now_us) {
    while (!stretch.empty()) {
      state = state * 1664525u + 1013904223u;
      const std::size_t size =
          std::min<std::size_t>(stretch.size(), (state >> 16) % (choice.longest_piece + 1));
      decoder.feed(stretch.substr(0, size), now_us);
      stretch.remove_prefix(size);
    }
  });
}

std::optional<std::string> broken_reading(const Choice& choice, const Outcome& outcome) {
  std::vector<std::optional<TimeUs>> last(choice.probes.size());
  for (const auto& seen : outcome.readings) {
    const ProbeSettings& probe = choice.probes.at(seen.probe);
    if (!std::isfinite(seen.temperature_degC) || !std::isfinite(seen.raw)) return "not finite";
    if (seen.temperature_degC < probe.lowest_degC || seen.temperature_degC > probe.highest_degC) {
      return "out of range";
    }
    if (last[seen.probe] && seen.time_us <= *last[seen.probe]) return "stamps do not rise";
    last[seen.probe] = seen.time_us;
  }
  return std::nullopt;
}

std::optional<std::string> broken_count(const Choice& choice, const Outcome& outcome,
                                        std::size_t bytes) {
  if (outcome.lines > bytes + 1) return "more lines than bytes";
  if (outcome.line_faults.total() > outcome.lines + 1) return "more faults of lines than lines";
  // A pack may hold several records of one name, each in at least seven bytes.
  const bool many = choice.port.protocol == "senml";
  for (std::size_t probe = 0; probe < choice.probes.size(); ++probe) {
    const auto readings = static_cast<std::uint64_t>(
        std::count_if(outcome.readings.begin(), outcome.readings.end(),
                      [&](const Seen& seen) { return seen.probe == probe; }));
    if (readings > (many ? bytes / 7 : outcome.data)) return "more readings than were sent";
    if (!many && readings + outcome.probe_faults[probe].total() > outcome.lines) {
      return "more readings and faults of a probe than lines";
    }
  }
  return std::nullopt;
}

// However long the stream, the splitter hands out no more than it may hold.
std::optional<std::string> broken_length(std::span<const char> stream) {
  TextLines lines;
  TextLine line;
  while (lines.next(stream, line)) {
    if (line.text.size() > longest_text_line) return "a line longer than the longest";
  }
  return std::nullopt;
}

}  // namespace

std::optional<std::string> broken_protocol_property(std::string_view protocol,
                                                    std::span<const std::uint8_t> input) {
  if (input.size() < 4) return std::nullopt;
  const Choice choice = choose(protocol, input.first(4));
  const std::string stream(input.begin() + 4, input.end());
  const Outcome whole = decode_whole(choice, stream);
  if (whole != decode_in_pieces(choice, stream)) return "depends on how the bytes were split";
  if (auto broken = broken_reading(choice, whole)) return broken;
  if (auto broken = broken_count(choice, whole, stream.size())) return broken;
  return broken_length(stream);
}

}  // namespace nestcup::fuzzing
