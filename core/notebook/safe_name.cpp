#include "core/notebook/safe_name.hpp"

#include <algorithm>
#include <array>
#include <cctype>

#include "core/base/utf8.hpp"

namespace nestcup {
namespace {

constexpr std::size_t most_bytes = 60;

bool may_stay(unsigned char c) {
  constexpr std::string_view signs = "-_+() .";
  return c >= 0x80 || std::isalnum(c) != 0 || signs.find(static_cast<char>(c)) != signs.npos;
}

/// Cut so that no character of UTF-8 is cut through.
void shorten(std::string& name) {
  if (name.size() <= most_bytes) return;
  std::size_t end = most_bytes;
  while (end > 0 && (static_cast<unsigned char>(name[end]) & 0xC0) == 0x80) --end;
  name.resize(end);
}

/// Names that a file system of another kind keeps for devices, whatever follows behind a dot.
bool is_device(const std::string& name) {
  std::string stem = name.substr(0, name.find('.'));
  std::transform(stem.begin(), stem.end(), stem.begin(),
                 [](unsigned char c) { return static_cast<char>(std::toupper(c)); });
  constexpr std::array<std::string_view, 4> plain{"CON", "PRN", "AUX", "NUL"};
  if (std::find(plain.begin(), plain.end(), stem) != plain.end()) return true;
  const bool counted = stem.starts_with("COM") || stem.starts_with("LPT");
  return counted && stem.size() == 4 && std::isdigit(static_cast<unsigned char>(stem[3])) != 0;
}

}  // namespace

std::string safe_name(std::string_view words) {
  std::string name(words);
  const bool is_text = is_utf8(words);
  for (char& c : name) {
    const auto byte = static_cast<unsigned char>(c);
    if (!may_stay(byte) || (byte >= 0x80 && !is_text)) c = '_';
  }
  shorten(name);
  // A dot in front hides a file; dots and blanks at the end are lost on some systems.
  while (!name.empty() && (name.back() == ' ' || name.back() == '.')) name.pop_back();
  const std::size_t begin = name.find_first_not_of(" .");
  name.erase(0, begin == std::string::npos ? name.size() : begin);
  if (name.empty() || is_device(name)) name.insert(0, "_");
  return name;
}

}  // namespace nestcup
