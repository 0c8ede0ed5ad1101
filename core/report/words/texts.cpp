#include "core/report/words/texts.hpp"

#include <toml++/toml.h>

#include <algorithm>
#include <map>
#include <stdexcept>

#include "core/report/words/letters.hpp"

namespace nestcup {

/// The catalogue's own text, embedded.
std::string_view texts_file_text();

namespace {

using Entry = std::map<std::string, std::string, std::less<>>;

struct Catalogue {
  std::map<std::string, Entry, std::less<>> entries;  // by key, then by language
  std::vector<std::string> keys;                      // in the order of the file
};

/// `fore.en` and `fore.de` under `[period]` are the key "period.fore" in two languages.
Catalogue read_catalogue() {
  const toml::table file = toml::parse(texts_file_text());
  std::vector<std::pair<toml::source_index, std::string>> order;
  Catalogue catalogue;
  for (const auto& [section, texts] : file) {
    for (const auto& [name, text] : *texts.as_table()) {
      const std::string key = std::string(section.str()) + "." + std::string(name.str());
      for (const auto& [tag, words] : *text.as_table()) {
        catalogue.entries[key][std::string(tag.str())] = words.value_or(std::string());
      }
      order.emplace_back(text.source().begin.line, key);
    }
  }
  std::sort(order.begin(), order.end());
  for (auto& [line, key] : order) catalogue.keys.push_back(std::move(key));
  return catalogue;
}

const Catalogue& catalogue() {
  static const Catalogue read = read_catalogue();
  return read;
}

}  // namespace

std::string_view language_tag(Language language) {
  return language == Language::german ? "de" : "en";
}

std::optional<Language> language_from_tag(std::string_view tag) {
  for (const Language language : languages) {
    if (language_tag(language) == tag) return language;
  }
  return std::nullopt;
}

bool Texts::has(std::string_view key) const {
  return catalogue().entries.find(key) != catalogue().entries.end();
}

const std::string& Texts::operator[](std::string_view key) const {
  const auto entry = catalogue().entries.find(key);
  if (entry != catalogue().entries.end()) {
    const auto words = entry->second.find(language_tag(language_));
    if (words != entry->second.end()) return words->second;
  }
  throw std::out_of_range("core/report/texts: no text for " + std::string(key));
}

std::string Texts::fill(std::string_view key, const std::vector<TextValue>& values) const {
  fmt::dynamic_format_arg_store<fmt::format_context> words;
  for (const auto& [name, value] : values) words.push_back(fmt::arg(name, value));
  return fmt::vformat((*this)[key], words);
}

std::string Texts::number(std::string text) const {
  std::string written;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const bool before_digit = i + 1 < text.size() && is_digit(text[i + 1]);
    if (text[i] == '-' && before_digit && (i == 0 || text[i - 1] == ' ' || text[i - 1] == '(')) {
      written += "\xE2\x88\x92";
    } else if (text[i] == '.' && before_digit && i > 0 && is_digit(text[i - 1]) &&
               language_ == Language::german) {
      written += ',';
    } else {
      written += text[i];
    }
  }
  return written;
}

std::vector<std::string> text_keys() {
  return catalogue().keys;
}

}  // namespace nestcup
