// Texts and numbers for a terminal, in its language and its characters.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "core/report/words/texts.hpp"
#include "tools/watch/dots.hpp"

namespace nestcup::watch {

class Words {
 public:
  Words(Language language, Charset charset) : texts_(language), charset_(charset) {}

  [[nodiscard]] Charset charset() const { return charset_; }
  [[nodiscard]] bool has(std::string_view key) const { return texts_.has(key); }
  /// A text of the catalogue with its words filled in.
  [[nodiscard]] std::string text(std::string_view key,
                                 const std::vector<TextValue>& values = {}) const;
  /// A number with so many decimals; a dash for none.
  [[nodiscard]] std::string number(std::optional<double> value, int decimals) const;
  /// "8.5135 +- 0.0017 K", with two significant digits of u.
  [[nodiscard]] std::string measured(double value, double u, const std::string& unit) const;
  /// The unit degC, with the sign for degrees where there is one.
  [[nodiscard]] std::string degC() const { return shown("\xC2\xB0\x43"); }
  /// "29.46 degC", with the sign for degrees.
  [[nodiscard]] std::string temperature(std::optional<double> value) const;
  /// Text from elsewhere, in this terminal's characters and without what would steer it.
  [[nodiscard]] std::string shown(std::string_view text) const;

 private:
  Texts texts_;
  Charset charset_;
};

/// 83 s as "1:23", an hour and more as "1:02:03".
[[nodiscard]] std::string duration_text(double seconds);

/// The nearest that ASCII has: umlauts as two letters, signs as words, '?' for what has none.
[[nodiscard]] std::string ascii_text(std::string_view utf8);

/// Language and characters as the environment asks for them (POSIX: the first of LC_ALL, the
/// category's own variable and LANG that is set and not empty).
/// @param variable  the value of a variable, nothing where it is not set
using Environment = std::optional<std::string> (*)(const char* variable);
[[nodiscard]] Language language_of(Environment variable);
[[nodiscard]] Charset charset_of(Environment variable);

}  // namespace nestcup::watch
