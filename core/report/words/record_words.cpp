#include "core/report/words/record_words.hpp"

#include <utility>
#include <vector>

namespace nestcup {

std::string method_in(const std::string& words, const Texts& texts) {
  const Texts english(Language::english);
  for (const char* const key : {"method.course", "method.integral", "method.lines"}) {
    if (english[key] == words) return texts[key];
  }
  return words;
}

std::string finding_in(const Json& finding, const Texts& texts) {
  const std::string key = "finding." + finding.at("code").get<std::string>();
  if (!texts.has(key)) return finding.at("text");
  std::vector<std::pair<std::string, std::string>> names;
  for (const auto& [name, value] : finding.at("values").items()) {
    names.emplace_back(name, texts.number(fmt::format("{:.3g}", value.get<double>())));
  }
  std::vector<TextValue> values;
  for (const auto& [name, value] : names) values.emplace_back(name.c_str(), value);
  return texts.fill(key, values);
}

}  // namespace nestcup
