#include "core/sheet/amount_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <vector>

#include "core/base/numbers.hpp"

namespace nestcup {

namespace {

constexpr std::string_view byte_order_mark = "\xEF\xBB\xBF";

bool continues_character(char byte) {
  return (static_cast<unsigned char>(byte) & 0xC0U) == 0x80U;
}

/// A key with its value, as bytes of the text; ends lie behind the last byte.
struct Entry {
  std::string_view key;
  std::size_t key_begin = 0;
  std::size_t value_begin = 0;
  std::size_t value_end = 0;
};

/// In the order of the text; the parser keeps them in the alphabet's.
std::vector<Entry> entries_of(std::string_view text, const toml::table& table) {
  std::vector<Entry> entries;
  for (const auto& [key, node] : table) {
    entries.push_back({key.str(), byte_at(text, key.source().begin),
                       byte_at(text, node.source().begin), byte_at(text, node.source().end)});
  }
  std::sort(entries.begin(), entries.end(),
            [](const Entry& a, const Entry& b) { return a.key_begin < b.key_begin; });
  return entries;
}

std::size_t index_of(const std::vector<Entry>& entries, std::string_view key) {
  const auto found = std::find_if(entries.begin(), entries.end(),
                                  [&](const Entry& entry) { return entry.key == key; });
  return static_cast<std::size_t>(found - entries.begin());
}

/// The entry that a new key stands behind. The unit of a temperature and of its uncertainty differ.
const Entry& neighbour_of(const std::vector<Entry>& entries, std::string_view key) {
  if (key == "u_temperature_K") key = "u_temperature_degC";
  const std::size_t index =
      key.starts_with("u_") ? index_of(entries, key.substr(2)) : entries.size();
  return index < entries.size() ? entries[index] : entries.back();
}

std::size_t line_begin(std::string_view text, std::size_t place) {
  const std::size_t end_before = text.substr(0, place).rfind('\n');
  return end_before == std::string_view::npos ? 0 : end_before + 1;
}

/// A line of its own, written as its neighbour's: with the same indentation, and the same tables
/// before the key.
std::string with_line(std::string text, const Entry& neighbour, const std::string& entry) {
  const std::size_t begin = line_begin(text, neighbour.key_begin);
  const std::string line = text.substr(begin, neighbour.key_begin - begin) + entry;
  const std::size_t end = text.find('\n', neighbour.value_end);
  if (end == std::string::npos) return text + '\n' + line;
  const bool has_return = end > 0 && text[end - 1] == '\r';
  return text.insert(end + 1, line + (has_return ? "\r\n" : "\n"));
}

/// The whole line goes; where a comment stands on it, that stays.
std::string without_line(std::string text, const Entry& entry) {
  const std::size_t begin = line_begin(text, entry.key_begin);
  const std::size_t rest = text.find_first_not_of(" \t\r", entry.value_end);
  if (rest == std::string::npos) return text.erase(begin);
  if (text[rest] == '\n') return text.erase(begin, rest + 1 - begin);
  return text.erase(begin, rest - begin);
}

}  // namespace

std::size_t byte_at(std::string_view text, toml::source_position place) {
  std::size_t byte = text.starts_with(byte_order_mark) ? byte_order_mark.size() : 0;
  for (toml::source_index line = 1; line < place.line; ++line) {
    const std::size_t end = text.find('\n', byte);
    if (end == std::string_view::npos) return text.size();
    byte = end + 1;
  }
  for (toml::source_index column = 1; column < place.column && byte < text.size(); ++column) {
    do {
      ++byte;
    } while (byte < text.size() && continues_character(text[byte]));
  }
  return byte;
}

std::string with_value(std::string text, const toml::table& table, std::string_view key,
                       double value) {
  const auto entries = entries_of(text, table);
  const Entry& entry = entries[index_of(entries, key)];
  return text.replace(entry.value_begin, entry.value_end - entry.value_begin, number_text(value));
}

std::string with_key(std::string text, const toml::table& table, std::string_view key,
                     double value) {
  const auto entries = entries_of(text, table);
  const Entry& neighbour = neighbour_of(entries, key);
  const std::string entry = fmt::format("{} = {}", key, number_text(value));
  if (!table.is_inline()) return with_line(std::move(text), neighbour, entry);
  return text.insert(neighbour.value_end, ", " + entry);
}

std::string without_key(std::string text, const toml::table& table, std::string_view key) {
  const auto entries = entries_of(text, table);
  const std::size_t index = index_of(entries, key);
  const Entry& entry = entries[index];
  if (!table.is_inline()) return without_line(std::move(text), entry);
  // With the comma before it, or with the one behind it where it is the first.
  const std::size_t begin = index > 0 ? entries[index - 1].value_end : entry.key_begin;
  const bool is_first_of_many = index == 0 && entries.size() > 1;
  const std::size_t end = is_first_of_many ? entries[1].key_begin : entry.value_end;
  return text.erase(begin, end - begin);
}

}  // namespace nestcup
