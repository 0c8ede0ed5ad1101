#include "sim/scpi_message.hpp"

#include <charconv>

#include "core/base/numbers.hpp"

namespace nestcup::sim {

namespace {

char upper(char letter) {
  return letter >= 'a' && letter <= 'z' ? static_cast<char>(letter - 'a' + 'A') : letter;
}

bool is_lower(char letter) {
  return letter >= 'a' && letter <= 'z';
}

/// Whether `word` is the mnemonic's short form (its upper-case letters) or its long form.
bool is_form_of(std::string_view word, std::string_view mnemonic) {
  std::string short_form, long_form, sent;
  for (const char letter : mnemonic) {
    if (!is_lower(letter)) short_form += letter;
    long_form += upper(letter);
  }
  for (const char letter : word) sent += upper(letter);
  return sent == short_form || sent == long_form;
}

std::vector<std::string_view> split(std::string_view text, char separator) {
  std::vector<std::string_view> parts;
  for (;;) {
    const std::size_t stop = text.find(separator);
    parts.push_back(text.substr(0, stop));
    if (stop == std::string_view::npos) return parts;
    text.remove_prefix(stop + 1);
  }
}

/// A node of a pattern.
struct Node {
  std::string mnemonic;
  bool optional = false;
};

std::vector<Node> nodes_of(std::string_view pattern) {
  std::vector<Node> nodes{{}};
  for (const char letter : pattern) {
    if (letter == '[') {
      if (!nodes.back().mnemonic.empty()) nodes.emplace_back();
      nodes.back().optional = true;
    } else if (letter == ':') {
      if (!nodes.back().mnemonic.empty()) nodes.emplace_back();
    } else if (letter != ']') {
      nodes.back().mnemonic += letter;
    }
  }
  return nodes;
}

bool nodes_match(const std::vector<std::string_view>& words, std::size_t word,
                 const std::vector<Node>& nodes, std::size_t node) {
  if (node == nodes.size()) return word == words.size();
  if (word < words.size() && is_form_of(words[word], nodes[node].mnemonic) &&
      nodes_match(words, word + 1, nodes, node + 1)) {
    return true;
  }
  return nodes[node].optional && nodes_match(words, word, nodes, node + 1);
}

std::optional<int> whole_number(std::string_view text) {
  text = trimmed(text);
  int value = 0;
  const auto [stop, fault] = std::from_chars(text.data(), text.data() + text.size(), value);
  if (fault != std::errc{} || stop != text.data() + text.size()) return std::nullopt;
  return value;
}

}  // namespace

std::vector<ScpiUnit> scpi_units(std::string_view message) {
  std::vector<ScpiUnit> units;
  std::string path;  // with its colon at the end
  for (std::string_view text : split(message, ';')) {
    text = trimmed(text);
    if (text.empty()) continue;
    const std::size_t blank = text.find_first_of(" \t");
    std::string_view header = text.substr(0, blank);
    ScpiUnit unit;
    if (blank != std::string_view::npos) unit.parameters = trimmed(text.substr(blank));
    if (header.front() == '*') {
      unit.header = header;
    } else {
      const bool from_root = header.front() == ':';
      if (from_root) header.remove_prefix(1);
      unit.header = from_root ? std::string(header) : path + std::string(header);
      const std::size_t colon = unit.header.rfind(':');
      path = colon == std::string::npos ? "" : unit.header.substr(0, colon + 1);
    }
    units.push_back(std::move(unit));
  }
  return units;
}

bool scpi_matches(std::string_view header, std::string_view pattern) {
  const bool is_query = header.ends_with('?');
  if (is_query != pattern.ends_with('?')) return false;
  if (is_query) {
    header.remove_suffix(1);
    pattern.remove_suffix(1);
  }
  return nodes_match(split(header, ':'), 0, nodes_of(pattern), 0);
}

std::optional<std::vector<int>> scpi_channels(std::string_view parameters, int channel_count) {
  std::vector<int> channels;
  if (parameters.empty()) {
    for (int i = 1; i <= channel_count; ++i) channels.push_back(i);
    return channels;
  }
  const bool is_list = parameters.starts_with("(@") && parameters.ends_with(")");
  if (is_list) parameters = parameters.substr(2, parameters.size() - 3);
  for (const std::string_view part : split(parameters, ',')) {
    const std::size_t colon = part.find(':');
    const auto first = whole_number(part.substr(0, colon));
    const auto last =
        colon == std::string_view::npos ? first : whole_number(part.substr(colon + 1));
    if (!first || !last || (!is_list && (colon != std::string_view::npos || !channels.empty()))) {
      return std::nullopt;
    }
    // Far outside of what any board has, so that a long range costs nothing.
    if (*first < -1000 || *last > 1000 || channels.size() > 1000) return std::nullopt;
    for (int i = *first; i <= *last; ++i) channels.push_back(i);
  }
  if (channels.empty()) return std::nullopt;
  return channels;
}

}  // namespace nestcup::sim
