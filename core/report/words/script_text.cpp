#include "core/report/words/script_text.hpp"

#include "core/report/words/letters.hpp"

namespace nestcup {

namespace {

const char* const arrow = "\xE2\x86\x92";
const char* const dot = "\xC2\xB7";

/// Builds pieces: what is on the level of the piece before goes on with it.
class Pieces {
 public:
  void add(std::string_view words, Script script) {
    if (pieces_.empty() || pieces_.back().script != script) pieces_.push_back({"", script});
    pieces_.back().words += words;
  }
  [[nodiscard]] std::vector<ScriptPiece> taken() { return std::move(pieces_); }

 private:
  std::vector<ScriptPiece> pieces_;
};

/// Reads `text` from left to right.
class Reader {
 public:
  explicit Reader(std::string_view text) : text_(text) {}

  std::vector<ScriptPiece> read() {
    while (at_ < text_.size()) step();
    return pieces_.taken();
  }

 private:
  [[nodiscard]] char before() const { return at_ == 0 ? ' ' : text_[at_ - 1]; }
  [[nodiscard]] char at(std::size_t place) const {
    return place < text_.size() ? text_[place] : ' ';
  }
  /// Whether what came just before belongs to a species that counts and charges can follow.
  [[nodiscard]] bool behind_atom() const {
    return is_letter(before()) || before() == ')' || before() == ']';
  }
  [[nodiscard]] std::size_t behind_digits(std::size_t from) const {
    while (is_digit(at(from))) ++from;
    return from;
  }

  void step() {
    const char c = text_[at_];
    if (text_.substr(at_, 2) == "->") {
      take(2, arrow, Script::normal);
    } else if (is_digit(c) && behind_atom()) {
      const std::size_t end = behind_digits(at_);
      take(end - at_, text_.substr(at_, end - at_), Script::low);
    } else if ((c == '+' || c == '-') && (behind_atom() || is_digit(before()))) {
      charge();
    } else if (c == '.' && (behind_atom() || is_digit(before())) && is_letter_ahead()) {
      take(1, dot, Script::normal);
    } else {
      take(1, text_.substr(at_, 1), Script::normal);
    }
  }

  /// Crystal water follows the dot: a count and a letter, or a letter. A decimal has no letter.
  [[nodiscard]] bool is_letter_ahead() const { return is_letter(at(behind_digits(at_ + 1))); }

  /// "+2" is printed "2+"; where more follows than a species can have, it is a plain sign.
  void charge() {
    const std::size_t end = behind_digits(at_ + 1);
    const char next = at(end);
    const std::string sign(text_[at_] == '-' ? minus : "+");
    if (next == ' ' || next == '(' || next == '\n') {
      take(end - at_, std::string(text_.substr(at_ + 1, end - at_ - 1)) + sign, Script::high);
    } else {
      take(1, sign, Script::normal);
    }
  }

  void take(std::size_t count, std::string_view words, Script script) {
    pieces_.add(words, script);
    at_ += count;
  }

  std::string_view text_;
  std::size_t at_ = 0;
  Pieces pieces_;
};

}  // namespace

std::vector<ScriptPiece> formula_pieces(std::string_view text) {
  return Reader(text).read();
}

}  // namespace nestcup
