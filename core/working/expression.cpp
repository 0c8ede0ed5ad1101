#include "core/working/expression.hpp"

#include <cctype>
#include <stdexcept>

#include "core/base/numbers.hpp"

namespace nestcup {

namespace {

[[noreturn]] void unreadable(std::string_view expression, std::string_view what) {
  throw std::invalid_argument("expression \"" + std::string(expression) +
                              "\": " + std::string(what));
}

bool is_name_letter(char c) {
  return std::isalnum(static_cast<unsigned char>(c)) != 0 || c == '_';
}

bool is_number_letter(char c) {
  return std::isdigit(static_cast<unsigned char>(c)) != 0 || c == '.';
}

/// Recursive descent over the pieces.
class Reader {
 public:
  Reader(std::string_view expression, const ValueOf& value_of)
      : expression_(expression), pieces_(pieces_of(expression)), value_of_(value_of) {}

  Measured whole() {
    Measured value = sum();
    if (at_ < pieces_.size()) unreadable(expression_, "something stands behind its end");
    return value;
  }

 private:
  bool takes(std::string_view operation) {
    const bool found = at_ < pieces_.size() && pieces_[at_].text == operation &&
                       pieces_[at_].kind == ExpressionPiece::Kind::operation;
    if (found) ++at_;
    return found;
  }

  void must(std::string_view operation) {
    if (!takes(operation)) unreadable(expression_, "lacks " + std::string(operation));
  }

  Measured sum() {
    Measured value = product();
    while (true) {
      if (takes("+")) {
        value += product();
      } else if (takes("-")) {
        value -= product();
      } else {
        return value;
      }
    }
  }

  Measured product() {
    Measured value = factor();
    while (true) {
      if (takes("*")) {
        value *= factor();
      } else if (takes("/")) {
        value /= factor();
      } else {
        return value;
      }
    }
  }

  Measured factor() {
    if (takes("-")) return -factor();
    if (takes("min")) return smallest();
    if (takes("(")) {
      Measured value = sum();
      must(")");
      return value;
    }
    if (at_ >= pieces_.size()) unreadable(expression_, "ends too early");
    const ExpressionPiece& piece = pieces_[at_++];
    if (piece.kind == ExpressionPiece::Kind::name) return value_of_(piece.text);
    const auto number = parse_number(piece.text);
    if (!number) unreadable(expression_, "has no value at " + std::string(piece.text));
    return Measured(*number);
  }

  Measured smallest() {
    must("(");
    Measured least = sum();
    while (takes(",")) {
      const Measured other = sum();
      if (other.value() < least.value()) least = other;
    }
    must(")");
    return least;
  }

  std::string_view expression_;
  std::vector<ExpressionPiece> pieces_;
  const ValueOf& value_of_;
  std::size_t at_ = 0;
};

/// Whether what comes next can only be a sign: at the start, behind an operation or an opening.
bool wants_value(const std::vector<ExpressionPiece>& pieces) {
  if (pieces.empty()) return true;
  const ExpressionPiece& last = pieces.back();
  return last.kind == ExpressionPiece::Kind::operation && last.text != ")";
}

}  // namespace

std::vector<ExpressionPiece> pieces_of(std::string_view expression) {
  std::vector<ExpressionPiece> pieces;
  for (std::size_t i = 0; i < expression.size();) {
    const char c = expression[i];
    std::size_t end = i + 1;
    if (c == ' ') {
      i = end;
      continue;
    }
    ExpressionPiece piece{ExpressionPiece::Kind::operation, {}, false};
    if (is_number_letter(c)) {
      while (end < expression.size() && is_number_letter(expression[end])) ++end;
      piece.kind = ExpressionPiece::Kind::number;
    } else if (is_name_letter(c)) {
      while (end < expression.size() && is_name_letter(expression[end])) ++end;
      if (expression.substr(i, end - i) != "min") piece.kind = ExpressionPiece::Kind::name;
    } else if (std::string_view("+-*/(),").find(c) == std::string_view::npos) {
      unreadable(expression, "has a letter that means nothing: " + std::string(1, c));
    }
    piece.text = expression.substr(i, end - i);
    piece.in_front = piece.text == "-" && wants_value(pieces);
    pieces.push_back(piece);
    i = end;
  }
  return pieces;
}

Measured evaluated(std::string_view expression, const ValueOf& value_of) {
  return Reader(expression, value_of).whole();
}

}  // namespace nestcup
