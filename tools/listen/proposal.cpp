#include "tools/listen/proposal.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <map>
#include <tuple>

#include "core/base/numbers.hpp"
#include "drivers/protocol/senml_pack.hpp"
#include "drivers/protocol/text_lines.hpp"

namespace nestcup {
namespace {

constexpr double most_odd_share = 0.1;
constexpr double least_data_share = 0.6;

struct Separator {
  char character;
  std::string_view name;
};
constexpr std::array<Separator, 4> separators{
    {{',', "comma"}, {';', "semicolon"}, {'\t', "tab"}, {' ', "blank"}}};

std::vector<std::string> lines_in(std::string_view bytes) {
  std::vector<std::string> found;
  drivers::TextLines lines(8192);
  drivers::TextLine line;
  std::span<const char> rest(bytes);
  while (lines.next(rest, line)) {
    if (!line.first && !line.too_long) found.emplace_back(trimmed(line.text));
  }
  std::erase_if(found, [](const std::string& text) { return text.empty(); });
  return found;
}

bool is_bench_temperature(double value) {
  return value >= -20.0 && value <= 110.0;
}

std::optional<double> number_in(std::string_view text, bool comma) {
  std::string with_point(trimmed(text));
  if (comma) std::replace(with_point.begin(), with_point.end(), ',', '.');
  return parse_number(with_point);
}

std::vector<std::string_view> parts_of(std::string_view line, char separator) {
  std::vector<std::string_view> parts;
  while (!line.empty()) {
    const std::size_t end = std::min(line.find(separator), line.size());
    const std::string_view part = trimmed(line.substr(0, end));
    if (separator != ' ' || !part.empty()) parts.push_back(part);
    line.remove_prefix(std::min(end + 1, line.size()));
  }
  return parts;
}

/// One way to read the lines as text: their columns or keys that are numbers in most lines.
struct TextReading {
  Separator separator;
  bool comma = false;
  std::size_t data_lines = 0;
  std::size_t words = 0;  ///< parts that are no numbers: the fewer, the better it fits
  std::vector<ProposedProbe> probes{};
};

TextReading read_as(const std::vector<std::string>& lines, Separator separator, bool comma) {
  TextReading reading{separator, comma};
  std::map<std::string, std::pair<std::size_t, double>> seen;  // place -> how often, last value
  for (const std::string& line : lines) {
    if (line.starts_with('#')) continue;
    const auto parts = parts_of(line, separator.character);
    bool any = false;
    for (std::size_t i = 0; i < parts.size(); ++i) {
      const std::size_t mark = parts[i].find_first_of("=:");
      const bool keyed = mark != std::string_view::npos && mark > 0;
      const auto value = number_in(keyed ? parts[i].substr(mark + 1) : parts[i], comma);
      if (!value) ++reading.words;
      if (!value) continue;
      const std::string place = keyed
                                    ? fmt::format("key = \"{}\"", trimmed(parts[i].substr(0, mark)))
                                    : fmt::format("column = {}", i + 1);
      auto& entry = seen[place];
      entry = {entry.first + 1, *value};
      any = true;
    }
    if (any) ++reading.data_lines;
  }
  for (const auto& [place, entry] : seen) {
    if (static_cast<double>(entry.first) < least_data_share * static_cast<double>(lines.size())) {
      continue;
    }
    reading.probes.push_back({place, entry.second, is_bench_temperature(entry.second)});
  }
  return reading;
}

/// The reading that leaves fewest words and makes most of the lines; of equal ones the simplest.
TextReading best_text(const std::vector<std::string>& lines) {
  TextReading best{separators[0]};
  for (const bool comma : {false, true}) {
    for (const Separator& separator : separators) {
      if (comma && separator.character == ',') continue;
      TextReading reading = read_as(lines, separator, comma);
      const auto rank = [](const TextReading& r) {
        return std::tuple(!r.probes.empty(), -static_cast<long>(r.words), r.probes.size(),
                          r.data_lines);
      };
      if (rank(reading) > rank(best)) best = std::move(reading);
    }
  }
  return best;
}

bool propose_senml(const std::vector<std::string>& lines, Heard& heard) {
  std::map<std::string, drivers::SenmlRecord> last;
  std::size_t packs = 0;
  for (const std::string& line : lines) {
    const auto pack = drivers::read_senml_pack(line);
    const auto* records = std::get_if<std::vector<drivers::SenmlRecord>>(&pack);
    if (records == nullptr) continue;
    ++packs;
    for (const drivers::SenmlRecord& record : *records) {
      if (record.value) last[record.name] = record;
    }
  }
  if (packs == 0 || 2 * packs < lines.size()) return false;
  heard.protocol = "senml";
  heard.data_lines = packs;
  for (const auto& [name, record] : last) {
    const bool is_celsius = record.unit == "Cel";
    const bool is_kelvin = record.unit == "K";
    heard.probes.push_back({fmt::format("key = \"{}\"", name), *record.value,
                            is_kelvin || (is_celsius && is_bench_temperature(*record.value)),
                            is_celsius  ? "degC"
                            : is_kelvin ? "K"
                                        : ""});
  }
  return true;
}

void propose_text(const std::vector<std::string>& lines, Heard& heard) {
  const TextReading best = best_text(lines);
  heard.data_lines = best.data_lines;
  if (best.probes.empty()) return;
  heard.protocol = "text";
  heard.probes = best.probes;
  if (best.separator.character != ',') {
    heard.port_keys.push_back(fmt::format("separator = \"{}\"", best.separator.name));
  }
  if (best.comma) heard.port_keys.push_back("decimal = \"comma\"");
}

std::string advice_for(const Heard& heard) {
  if (heard.bytes == 0) {
    return "nothing arrived: a device that waits to be asked says nothing by itself; try --ask "
           "\"*IDN?\\n\" for a meter or --ask \"R\\n\" for a board, or see in its manual whether "
           "it "
           "speaks Modbus RTU";
  }
  if (heard.odd_share > most_odd_share) {
    return fmt::format(
        "{:.0f} % of the bytes are no text: the rate is probably another one; try --baud 9600, "
        "19200, 57600 or 115200",
        100.0 * heard.odd_share);
  }
  if (heard.whole_lines == 0) {
    return "no line has ended yet: listen longer (--seconds), or the device ends no lines";
  }
  return "no value stands in the same place of most lines: look at the lines above";
}

/// A role for each value that reads like a temperature: the one that its own name says, else the
/// next that is free; empty for the others.
std::vector<std::string> roles_for(const std::vector<ProposedProbe>& probes) {
  std::vector<std::string> free{"cup", "added", "room"};
  std::vector<std::string> roles(probes.size());
  for (const bool by_name : {true, false}) {
    for (std::size_t i = 0; i < probes.size(); ++i) {
      if (!probes[i].likely || !roles[i].empty()) continue;
      const auto role = std::find_if(free.begin(), free.end(), [&](const std::string& name) {
        return !by_name || probes[i].place.ends_with(name + "\"");
      });
      if (role == free.end()) continue;
      roles[i] = *role;
      free.erase(role);
    }
  }
  return roles;
}

}  // namespace

Heard hear(std::string_view bytes) {
  Heard heard;
  heard.bytes = bytes.size();
  const auto odd = std::count_if(bytes.begin(), bytes.end(), [](char c) {
    return (c < 0x20 && c != '\t' && c != '\r' && c != '\n') || c > 0x7E;
  });
  if (!bytes.empty())
    heard.odd_share = static_cast<double>(odd) / static_cast<double>(bytes.size());
  const std::vector<std::string> lines = lines_in(bytes);
  heard.whole_lines = lines.size();
  if (heard.odd_share <= most_odd_share && !lines.empty() && !propose_senml(lines, heard)) {
    propose_text(lines, heard);
  }
  if (heard.protocol.empty()) heard.advice = advice_for(heard);
  return heard;
}

std::string entries_text(const Heard& heard, const std::string& device, int baud) {
  if (heard.protocol.empty()) return {};
  std::string text =
      fmt::format("[[port]]\nname = \"board\"\ndevice = \"{}\"\nbaud = {}\nprotocol = \"{}\"\n",
                  device, baud, heard.protocol);
  for (const std::string& key : heard.port_keys) text += key + "\n";
  // What reads like a temperature comes first; the roles are a person's to give.
  std::vector<ProposedProbe> probes = heard.probes;
  std::stable_partition(probes.begin(), probes.end(), [](const auto& p) { return p.likely; });
  const std::vector<std::string> roles = roles_for(probes);
  for (std::size_t i = 0; i < probes.size(); ++i) {
    const ProposedProbe& probe = probes[i];
    const bool is_probe = !roles[i].empty();
    const std::string_view lead = is_probe ? "" : "# ";
    text += fmt::format("{0}[[probe]]            # last seen: {1}\n", lead, probe.last);
    text += fmt::format("{0}name = \"{1}\"\n{0}role = \"{1}\"\n{0}port = \"board\"\n{0}{2}\n", lead,
                        is_probe ? roles[i] : "room", probe.place);
    text += fmt::format("{}unit = \"{}\"\n", lead, probe.unit.empty() ? "degC" : probe.unit);
  }
  return text;
}

std::string readable(std::string_view line) {
  std::string text;
  for (const char c : line) {
    if (c >= 0x20 && c <= 0x7E) {
      text += c;
    } else if (c == '\t') {
      text += "\\t";
    } else {
      text += fmt::format("\\x{:02X}", static_cast<unsigned char>(c));
    }
  }
  return text;
}

}  // namespace nestcup
