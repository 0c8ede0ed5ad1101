#include "tests/fuzz/text_property.hpp"

#include <algorithm>
#include <cmath>
#include <memory>
#include <string_view>
#include <vector>

#include "drivers/port_decoder.hpp"
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
  std::uint64_t lines = 0;
  std::uint64_t headers = 0;
  std::uint64_t data = 0;
  bool operator==(const Outcome&) const = default;
};

// Settings chosen by the input's first bytes: 4 separators, 2 decimal marks, columns or keys.
struct Choice {
  PortSettings port;
  std::vector<ProbeSettings> probes;
  std::size_t longest_piece = 1;
};

Choice choose(std::span<const std::uint8_t> head) {
  Choice choice;
  choice.port.separator = std::string_view(",;\t ")[head[0] % 4];
  const bool comma = head[1] % 2 == 1 && choice.port.separator != ',';
  choice.port.decimal = comma ? Decimal::comma : Decimal::point;
  const bool keys = head[1] / 2 % 2 == 1;
  for (int i = 1; i <= 3; ++i) {
    ProbeSettings probe;
    probe.name = "p" + std::to_string(i);
    if (keys) {
      probe.channel.key = "T" + std::to_string(i);
    } else {
      probe.channel.column = i;
    }
    probe.channel.unit = static_cast<RawUnit>((head[2] + i) % 3);
    choice.probes.push_back(probe);
  }
  choice.longest_piece = 1 + head[3];
  return choice;
}

template <class Feed>
Outcome decode(const Choice& choice, Feed feed) {
  Outcome outcome;
  auto made = PortDecoder::make(choice.port, choice.probes,
                                [&](std::size_t probe, TimeUs time_us, double degC, double raw) {
                                  outcome.readings.push_back({probe, time_us, degC, raw});
                                });
  PortDecoder& decoder = **made;
  feed(decoder);
  for (const auto& probe : decoder.probes()) outcome.probe_faults.push_back(probe.faults);
  outcome.line_faults = decoder.lines().faults;
  outcome.lines = decoder.lines().total();
  outcome.headers = decoder.lines().headers;
  outcome.data = decoder.lines().data;
  return outcome;
}

Outcome decode_whole(const Choice& choice, std::span<const char> stream) {
  return decode(choice, [&](PortDecoder& decoder) { decoder.feed(stream, 1000); });
}

// Pieces of changing length, empty ones among them; a small generator of its own keeps it the same
// for the same input.
Outcome decode_in_pieces(const Choice& choice, std::span<const char> stream) {
  return decode(choice, [&](PortDecoder& decoder) {
    std::uint32_t state = static_cast<std::uint32_t>(choice.longest_piece);
    while (!stream.empty()) {
      state = state * 1664525u + 1013904223u;
      const std::size_t size =
          std::min<std::size_t>(stream.size(), (state >> 16) % (choice.longest_piece + 1));
      decoder.feed(stream.first(size), 1000);
      stream = stream.subspan(size);
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

std::optional<std::string> broken_count(const Choice& choice, const Outcome& outcome) {
  for (std::size_t probe = 0; probe < choice.probes.size(); ++probe) {
    const auto readings = static_cast<std::uint64_t>(
        std::count_if(outcome.readings.begin(), outcome.readings.end(),
                      [&](const Seen& seen) { return seen.probe == probe; }));
    if (readings > outcome.data) return "more readings than lines of data";
    if (readings + outcome.probe_faults[probe].total() > outcome.lines) {
      return "more readings and faults of a probe than lines";
    }
  }
  if (outcome.line_faults.total() > outcome.lines) return "more faults of lines than lines";
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

std::optional<std::string> broken_text_property(std::span<const std::uint8_t> input) {
  if (input.size() < 4) return std::nullopt;
  const Choice choice = choose(input.first(4));
  const std::string text(input.begin() + 4, input.end());
  const std::span<const char> stream(text);
  const Outcome whole = decode_whole(choice, stream);
  if (whole != decode_in_pieces(choice, stream)) return "depends on how the bytes were split";
  if (auto broken = broken_reading(choice, whole)) return broken;
  if (auto broken = broken_count(choice, whole)) return broken;
  return broken_length(stream);
}

}  // namespace nestcup::fuzzing
