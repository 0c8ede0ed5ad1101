// Findings: what is wrong with a run, in plain words, with what to do at the bench next time.
#pragma once

#include <string>
#include <string_view>
#include <utility>
#include <vector>

namespace nestcup {

enum class Severity { note, warning, unusable };

[[nodiscard]] std::string_view severity_name(Severity severity);

/// A code with its values; the text is made from the catalogue (finding_text).
struct Finding {
  std::string code;
  Severity severity = Severity::note;
  std::vector<std::pair<std::string, double>> values{};  ///< name with unit -> value
};

/// The sentence for people: cause first, then the remedy.
[[nodiscard]] std::string finding_text(const Finding& finding);

/// All codes of the catalogue.
[[nodiscard]] std::vector<std::string> finding_codes();

}  // namespace nestcup
