// The place in a formula that is being read, and what went wrong there.
#pragma once

#include <optional>
#include <string>
#include <string_view>
#include <utility>

#include "core/matter/formula.hpp"

namespace nestcup {

/// Walks over a formula from left to right. Functions that return false have noted the error.
class FormulaCursor {
 public:
  explicit FormulaCursor(std::string_view text) : text_(text) {}

  [[nodiscard]] std::string_view rest() const { return text_.substr(at_); }
  [[nodiscard]] bool at_end() const { return at_ >= text_.size(); }
  /// The character here; 0 at the end.
  [[nodiscard]] char here() const { return at_end() ? '\0' : text_[at_]; }
  [[nodiscard]] char before() const { return at_ == 0 ? '\0' : text_[at_ - 1]; }
  [[nodiscard]] bool at_digit() const { return here() >= '0' && here() <= '9'; }
  [[nodiscard]] bool at_capital() const { return here() >= 'A' && here() <= 'Z'; }
  [[nodiscard]] bool at_small_letter() const { return here() >= 'a' && here() <= 'z'; }
  [[nodiscard]] std::size_t at() const { return at_; }
  void step(std::size_t characters = 1) { at_ += characters; }

  /// The letter here and all small letters behind it.
  [[nodiscard]] std::string_view word() const;
  /// A whole number from 1 on, where one stands here; else `count` stays.
  bool read_count(int& count);
  /// The phase that stands here, and how many characters it takes.
  [[nodiscard]] std::optional<std::pair<Phase, std::size_t>> phase_here() const;

  /// Notes what is wrong at a place. @return false
  bool fail(std::size_t at, std::string_view what);
  [[nodiscard]] const std::string& error() const { return error_; }
  /// The character here for a message; others than ASCII by their kind alone.
  [[nodiscard]] std::string shown() const;

 private:
  std::string_view text_;
  std::size_t at_ = 0;
  std::string error_;
};

/// Elements, groups and waters of crystallisation: all of a formula but charge and phase.
struct Composition {
  std::string text;  ///< canonical
  std::map<std::string, int> atoms;
  bool is_one_atom = false;
};

/// @return nothing where the cursor has noted an error
[[nodiscard]] std::optional<Composition> read_composition(FormulaCursor& cursor);

}  // namespace nestcup
