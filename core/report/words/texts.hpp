// What reports and charts say, in every language of the catalogue (texts/*.toml).
#pragma once

#include <fmt/args.h>
#include <fmt/format.h>

#include <optional>
#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace nestcup {

enum class Language { english, german };

/// All languages, the usual one first.
inline constexpr Language languages[] = {Language::english, Language::german};

/// The tag of RFC 5646: "en", "de".
[[nodiscard]] std::string_view language_tag(Language language);

/// The language with this tag.
[[nodiscard]] std::optional<Language> language_from_tag(std::string_view tag);

/// A word that a text has room for: `{rise}` in the catalogue is filled by {"rise", "8.5 K"}.
using TextValue = std::pair<const char*, std::string>;

/// The catalogue in one language. Cheap to copy.
class Texts {
 public:
  explicit Texts(Language language) : language_(language) {}

  [[nodiscard]] Language language() const { return language_; }
  [[nodiscard]] bool has(std::string_view key) const;
  /// The text of a key that the catalogue must have ("period.fore"); an unknown one is a mistake in
  /// the program: std::out_of_range.
  [[nodiscard]] const std::string& operator[](std::string_view key) const;
  /// The text with its words filled in.
  /// @param values  all that the text asks for, by name; more do no harm
  [[nodiscard]] std::string fill(std::string_view key, const std::vector<TextValue>& values) const;
  /// A number as the language writes it: `text` with its decimal points as decimal commas where
  /// that is the custom, and every minus sign that of typography (UTF-8).
  /// @param text  numbers and units, no sentences
  [[nodiscard]] std::string number(std::string text) const;

 private:
  Language language_;
};

/// Every key of the catalogue, in its order there.
[[nodiscard]] std::vector<std::string> text_keys();

}  // namespace nestcup
