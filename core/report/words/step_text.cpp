#include "core/report/words/step_text.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <functional>

#include "core/report/words/letters.hpp"
#include "core/report/words/symbol_text.hpp"
#include "core/working/expression.hpp"

namespace nestcup {

namespace {

constexpr int digits_of_u = 3;
constexpr int digits_without_u = 6;

/// Six significant digits, zeros at the end left out down to one decimal: "100.0", "40.304".
std::string exact_number(double value) {
  if (value == 0.0) return "0";
  const int whole = static_cast<int>(std::floor(std::log10(std::abs(value)))) + 1;
  const int decimals = std::clamp(digits_without_u - whole, 0, 12);
  std::string text = fmt::format("{:.{}f}", value, decimals);
  if (text.find('.') == std::string::npos) return text;
  while (text.back() == '0' && text[text.size() - 2] != '.') text.pop_back();
  return text;
}

const WorkingPart& part_of(const Working& working, StepId step) {
  const auto& parts = working.parts();
  return *std::find_if(parts.begin(), parts.end(), [&](const WorkingPart& part) {
    return step >= part.first && step < part.end;
  });
}

/// The symbol as another step uses it: with the trial's name where it is that of another trial,
/// with the run's number where it is that of a run elsewhere in the same.
std::string symbol_within(const Working& working, StepId step, StepId user) {
  const WorkingPart& own = part_of(working, step);
  const WorkingPart& users = part_of(working, user);
  const std::string symbol = symbol_text(working[step].symbol);
  if (&own == &users || own.trial.empty()) return symbol;
  // Comparisons stand far from what they compare.
  const bool is_far = users.kind == WorkingPart::Kind::comparison || own.trial != users.trial;
  if (is_far) return symbol + "(" + own.trial + ")";
  if (own.kind != WorkingPart::Kind::run) return symbol;
  return symbol + fmt::format("^{{({})}}", own.run_number);
}

using NameText = std::function<std::string(StepId operand)>;

/// A number below zero has parentheses around it, but where it stands first.
std::string put_behind(const std::string& before, const std::string& text) {
  const bool is_negative = text.rfind(minus, 0) == 0;
  const bool is_first = before.empty() || before.back() == '(';
  return is_negative && !is_first ? "(" + text + ")" : text;
}

bool binds(std::string_view operation) {
  return operation == "*" || operation == "/";
}

/// An expression set in type, its names as `text_of` has them.
std::string set_expression(const Step& step, const NameText& text_of) {
  std::string out;
  for (const ExpressionPiece& piece : pieces_of(step.expression)) {
    if (piece.kind == ExpressionPiece::Kind::name) {
      out += put_behind(out, text_of(step.operands.find(piece.text)->second));
    } else if (piece.kind == ExpressionPiece::Kind::number) {
      out += piece.text;
    } else if (piece.text == "-") {
      out += piece.in_front ? std::string(minus) : fmt::format(" {} ", minus);
    } else if (binds(piece.text)) {
      out += piece.text == "*" ? " \xC2\xB7 " : " / ";
    } else if (piece.text == "+") {
      out += " + ";
    } else if (piece.text == ",") {
      out += "; ";
    } else {
      out += piece.text;
    }
  }
  return out;
}

}  // namespace

std::string step_number(const Step& step, const Texts& texts) {
  const Measured& value = step.value;
  // An uncertainty bears no more digits than it gives to others.
  const double u = step.origin == Origin::budget ? value.value() : value.u();
  if (u == 0.0) return texts.number(exact_number(value.value()));
  const int place =
      static_cast<int>(std::floor(std::log10(u))) - (digits_of_u - 1);  // of the last digit shown
  // A whole number would be read as exact by whoever follows the working with a pencil.
  return texts.number(fmt::format("{:.{}f}", value.value(), std::clamp(-place, 1, 12)));
}

std::string step_title(const Step& step, const Texts& texts) {
  return texts.fill("step." + step.what, {{"subject", chemistry_text(step.subject)}});
}

std::string step_formula(const Working& working, StepId id) {
  const Step& step = working[id];
  const std::string symbol = symbol_text(step.symbol);
  if (step.expression.empty()) return symbol;
  return symbol + " = " +
         set_expression(step, [&](StepId operand) { return symbol_within(working, operand, id); });
}

std::string step_numbers(const Working& working, StepId id, const Texts& texts) {
  const Step& step = working[id];
  if (step.expression.empty()) return origin_text(step, texts);
  return set_expression(step, [&](StepId operand) { return step_number(working[operand], texts); });
}

std::string origin_text(const Step& step, const Texts& texts) {
  static const std::map<Origin, std::string> keys{
      {Origin::sheet, "sheet"},           {Origin::record, "record"},  {Origin::table, "table"},
      {Origin::convention, "convention"}, {Origin::rule, "rule"},      {Origin::budget, "budget"},
      {Origin::weights, "weights"},       {Origin::derived, "derived"}};
  const std::string origin = texts["origin." + keys.at(step.origin)];
  return step.source.empty() ? origin : origin + ", " + step.source;
}

}  // namespace nestcup
