#include "tools/watch/words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cctype>
#include <cmath>

namespace nestcup::watch {
namespace {

struct Plain {
  std::string_view utf8;
  std::string_view ascii;
};
/// What the catalogue and names of benches have beyond ASCII.
constexpr std::array<Plain, 17> plain_words{{{"\xC3\xA4", "ae"},
                                             {"\xC3\xB6", "oe"},
                                             {"\xC3\xBC", "ue"},
                                             {"\xC3\x84", "Ae"},
                                             {"\xC3\x96", "Oe"},
                                             {"\xC3\x9C", "Ue"},
                                             {"\xC3\x9F", "ss"},
                                             {"\xC2\xB0", "deg"},
                                             {"\xC2\xB1", "+-"},
                                             {"\xC2\xB7", "*"},
                                             {"\xC2\xB5", "u"},
                                             {"\xE2\x88\x92", "-"},
                                             {"\xE2\x80\x93", "-"},
                                             {"\xE2\x80\x94", "-"},
                                             {"\xE2\x80\x99", "'"},
                                             {"\xE2\x80\x9E", "\""},
                                             {"\xE2\x80\x9C", "\""}}};

/// Bytes of the UTF-8 character that begins with this one; 1 for a byte that begins none.
std::size_t length_of(char begin) {
  const auto byte = static_cast<unsigned char>(begin);
  if (byte >= 0xF0) return 4;
  if (byte >= 0xE0) return 3;
  return byte >= 0xC0 ? 2 : 1;
}

/// Without control characters, C1's among them: a name must not move the cursor.
std::string without_controls(std::string_view text) {
  std::string clean;
  for (std::size_t i = 0; i < text.size(); i += length_of(text[i])) {
    const std::string_view letter = text.substr(i, length_of(text[i]));
    const auto first = static_cast<unsigned char>(letter.front());
    const bool c1 =
        first == 0xC2 && letter.size() == 2 && static_cast<unsigned char>(letter.back()) < 0xA0;
    if (first < 0x20 || first == 0x7F || c1) {
      clean += ' ';
    } else {
      clean += letter;
    }
  }
  return clean;
}

std::string category(Environment variable, const char* own) {
  for (const char* name : {"LC_ALL", own, "LANG"}) {
    const auto value = variable(name);
    if (value && !value->empty()) return *value;
  }
  return "C";
}

}  // namespace

std::string ascii_text(std::string_view utf8) {
  std::string plain;
  for (std::size_t i = 0; i < utf8.size(); i += length_of(utf8[i])) {
    const std::string_view letter = utf8.substr(i, length_of(utf8[i]));
    const auto found = std::find_if(plain_words.begin(), plain_words.end(),
                                    [&](const Plain& one) { return one.utf8 == letter; });
    if (found != plain_words.end()) {
      plain += found->ascii;
    } else if (static_cast<unsigned char>(letter.front()) < 0x80) {
      plain += letter;
    } else {
      plain += '?';
    }
  }
  return plain;
}

std::string Words::shown(std::string_view text) const {
  const std::string clean = without_controls(text);
  return charset_ == Charset::utf8 ? clean : ascii_text(clean);
}

std::string Words::text(std::string_view key, const std::vector<TextValue>& values) const {
  return shown(texts_.fill(key, values));
}

std::string Words::number(std::optional<double> value, int decimals) const {
  if (!value || !std::isfinite(*value)) return shown("\xE2\x80\x93");
  std::string written = fmt::format("{:.{}f}", *value, decimals);
  const bool is_zero = written.find_first_not_of("-0.") == std::string::npos;
  if (is_zero && written.front() == '-') written.erase(0, 1);
  return shown(texts_.number(std::move(written)));
}

std::string Words::measured(double value, double u, const std::string& unit) const {
  constexpr int usual = 2, most = 6;
  const int decimals =
      u > 0.0 ? std::clamp(1 - static_cast<int>(std::floor(std::log10(u))), 0, most) : usual;
  return fmt::format("{} {} {} {}", number(value, decimals), shown("\xC2\xB1"), number(u, decimals),
                     unit);
}

std::string Words::temperature(std::optional<double> value) const {
  return number(value, 2) + " " + degC();
}

std::string duration_text(double seconds) {
  const auto whole = static_cast<long>(std::max(std::floor(seconds), 0.0));
  const long hours = whole / 3600, minutes = whole / 60 % 60;
  if (hours > 0) return fmt::format("{}:{:02}:{:02}", hours, minutes, whole % 60);
  return fmt::format("{}:{:02}", minutes, whole % 60);
}

Language language_of(Environment variable) {
  const std::string tag = category(variable, "LC_MESSAGES").substr(0, 2);
  return language_from_tag(tag).value_or(Language::english);
}

Charset charset_of(Environment variable) {
  std::string locale = category(variable, "LC_CTYPE");
  std::transform(locale.begin(), locale.end(), locale.begin(),
                 [](unsigned char letter) { return static_cast<char>(std::tolower(letter)); });
  const bool is_utf8 =
      locale.find("utf-8") != std::string::npos || locale.find("utf8") != std::string::npos;
  return is_utf8 ? Charset::utf8 : Charset::ascii;
}

}  // namespace nestcup::watch
