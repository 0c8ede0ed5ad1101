// What is to be said about results: doubts, assumptions, what could not be worked out.
#pragma once

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

#include "core/analysis/run/findings.hpp"

namespace nestcup {

/// A finding about results. Unlike those of a run it speaks of names, so its text is made on the
/// spot.
struct ResultNote {
  std::string code;
  Severity severity = Severity::note;
  std::string trial;  ///< empty: of the sheet as a whole
  std::string text;
  /// What the text says beside its fixed words, for texts in other languages. Numbers have a
  /// decimal point.
  std::vector<std::pair<std::string, std::string>> words{};
  std::string wording{};  ///< which of the code's texts it is; empty where there is one
};

/// Notes, each only once of one trial.
class ResultNotes {
 public:
  void add(ResultNote note) {
    const bool known = std::any_of(notes_.begin(), notes_.end(), [&](const ResultNote& other) {
      return other.code == note.code && other.trial == note.trial && other.text == note.text;
    });
    if (!known) notes_.push_back(std::move(note));
  }
  [[nodiscard]] const std::vector<ResultNote>& all() const { return notes_; }

 private:
  std::vector<ResultNote> notes_;
};

}  // namespace nestcup
