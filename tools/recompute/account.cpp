#include "tools/recompute/account.hpp"

#include <fmt/format.h>

#include <cmath>
#include <ostream>

#include "core/base/uncertain_text.hpp"
#include "core/record/quantity_json.hpp"
#include "tools/record_text.hpp"

namespace nestcup {
namespace {

bool has_rise(const Json& record) {
  return !record.at("corrected_rise_K").at("value").is_null();
}

std::string mixture_text(const Json& record) {
  const Json& rise = record.at("mixture_rise_K");
  return rise.is_null() ? "not known" : uncertain_text(quantity_of(rise), "K");
}

std::string sheet_digest_text(const Json& record) {
  const Json& sheet = record.at("sheet");
  return sheet.is_null() ? "none" : sheet.at("sha256").get<std::string>().substr(0, 12);
}

std::string move_text(const std::optional<RiseMove>& move) {
  if (!move) return "";
  return fmt::format(": moved by {:+.2g} K{}", move->move_K,
                     move->move_u ? fmt::format(", {:.2g} u", std::abs(*move->move_u)) : "");
}

/// Each thing that is another one than before, on a line.
std::string change_text(const Recomputed& made) {
  if (!made.after) return fmt::format("run {}: {}; left as it is\n", made.run.number, made.why);
  std::string text = fmt::format("run {}: {}\n", made.run.number, made.why);
  const auto line = [&](const char* label, const std::string& before, const std::string& after,
                        const std::string& more = "") {
    if (before == after && more.empty()) return;
    text += fmt::format("  {:<14}{}, was {}{}\n", label, after, before, more);
  };
  const auto move = rise_move(made);
  const bool has_moved = move && move->move_K != 0.0;
  line("rise", rise_text(made.before), rise_text(*made.after), has_moved ? move_text(move) : "");
  line("mixture rise", mixture_text(made.before), mixture_text(*made.after));
  line("sheet", sheet_digest_text(made.before), sheet_digest_text(*made.after));
  return text;
}

Json facts_json(const Json& record) {
  return {{"revision", record.at("revision")},
          {"sheet", record.at("sheet")},
          {"corrected_rise_K",
           {{"value", record.at("corrected_rise_K").at("value")},
            {"u", record.at("corrected_rise_K").at("u")}}},
          {"mixture_rise_K", record.at("mixture_rise_K")},
          {"analysis", record.at("software").at("analysis")}};
}

Json number_or_null(const std::optional<double>& value) {
  return value ? Json(*value) : Json(nullptr);
}

Json change_json(const Recomputed& made) {
  const auto move = rise_move(made);
  return {{"number", made.run.number},
          {"id", made.run.id},
          {"changed", made.after.has_value()},
          {"why", made.why.empty() ? Json(nullptr) : Json(made.why)},
          {"moved_K", move ? Json(move->move_K) : Json(nullptr)},
          {"moved_u", number_or_null(move ? move->move_u : std::nullopt)},
          {"before", facts_json(made.before)},
          {"after", made.after ? facts_json(*made.after) : Json(nullptr)}};
}

}  // namespace

std::optional<RiseMove> rise_move(const Recomputed& made) {
  if (!made.after || !has_rise(made.before) || !has_rise(*made.after)) return std::nullopt;
  const Uncertain before = quantity_of(made.before.at("corrected_rise_K"));
  RiseMove move{quantity_of(made.after->at("corrected_rise_K")).value - before.value};
  if (before.u > 0.0) move.move_u = move.move_K / before.u;
  return move;
}

void RecomputeAccount::Largest::take(double move, int number) {
  if (std::abs(move) <= size) return;
  size = std::abs(move);
  run = number;
}

void RecomputeAccount::take(const Recomputed& made) {
  ++runs_;
  if (made.after) {
    ++changed_;
    if (has_rise(made.before) && !has_rise(*made.after)) ++lost_;
    if (!has_rise(made.before) && has_rise(*made.after)) ++found_;
  }
  if (const auto move = rise_move(made)) {
    largest_K_.take(move->move_K, made.run.number);
    if (move->move_u) largest_u_.take(*move->move_u, made.run.number);
  }
  if (is_json_) {
    list_.push_back(change_json(made));
  } else if (made.after || !made.why.empty()) {
    streams_.out << change_text(made);
  }
}

Json RecomputeAccount::summary_json() const {
  const auto largest = [](const Largest& move) {
    return move.size < 0.0 ? Json(nullptr) : Json(move.size);
  };
  return {{"dry_run", dry_run_},
          {"changed", changed_},
          {"rises_lost", lost_},
          {"rises_found", found_},
          {"largest_move_K", largest(largest_K_)},
          {"largest_move_u", largest(largest_u_)},
          {"runs", list_}};
}

std::string RecomputeAccount::summary_text() const {
  std::string text = fmt::format("{} of {} runs {}", changed_, runs_,
                                 dry_run_ ? "would change; nothing is written" : "changed");
  if (lost_ > 0) text += fmt::format("; rises lost: {}", lost_);
  if (found_ > 0) text += fmt::format("; rises found: {}", found_);
  if (largest_K_.size == 0.0) text += "; no rise moved";
  if (largest_K_.size > 0.0) {
    text +=
        fmt::format("; largest move of a rise: {:.2g} K (run {})", largest_K_.size, largest_K_.run);
    if (largest_u_.size > 0.0) {
      text += fmt::format(", {:.2g} u (run {})", largest_u_.size, largest_u_.run);
    }
  }
  return text + "\n";
}

void RecomputeAccount::close() const {
  if (is_json_) {
    streams_.out << summary_json().dump() << '\n';
  } else {
    streams_.out << summary_text();
  }
}

}  // namespace nestcup
