#include "drivers/protocol/scpi_protocol.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <utility>

#include "core/base/numbers.hpp"
#include "drivers/protocol/text_number.hpp"

namespace nestcup::drivers {
namespace {

constexpr double not_a_number = 9.91e37;
constexpr double infinity = 9.9e37;
// An error queue is bounded; a device that never says 0 must not keep readings waiting.
constexpr int most_errors = 20;
constexpr int most_unanswered = 3;
constexpr double rest_s = 30.0;

bool is_about(double value, double mark) {
  return std::abs(value / mark - 1.0) < 1e-6;
}

std::optional<LineFault> fault_in(double value) {
  if (is_about(value, not_a_number)) return LineFault::no_reading;
  if (is_about(std::abs(value), infinity)) return LineFault::overload;
  return std::nullopt;
}

std::optional<Error> wrong_with_query(const PortSettings& port, const ChannelSettings& channel) {
  const auto bad = [&](std::string_view what) {
    return Error{Fault::bad_configuration,
                 fmt::format("port \"{}\": probe \"{}\" {}", port.name, channel.name, what)};
  };
  // Parameters may follow the mark: MEASure:TEMPerature? (@101)
  if (channel.query.find('?') == std::string::npos) return bad("needs `query` with a ? in it");
  if (channel.query.find_first_of("\r\n") != std::string::npos) return bad("has a query of lines");
  if (channel.column && *channel.column < 1) return bad("`column` counts from 1");
  return std::nullopt;
}

std::vector<std::string_view> columns_of(std::string_view answer) {
  std::vector<std::string_view> columns;
  for (std::size_t comma = answer.find(','); comma != std::string_view::npos;
       comma = answer.find(',')) {
    columns.push_back(trimmed(answer.substr(0, comma)));
    answer.remove_prefix(comma + 1);
  }
  columns.push_back(trimmed(answer));
  return columns;
}

}  // namespace

Result<std::unique_ptr<Protocol>> ScpiProtocol::make(const PortSettings& port,
                                                     const std::vector<ChannelSettings>& channels) {
  for (const auto& channel : channels) {
    if (auto error = wrong_with_query(port, channel)) return *error;
  }
  return std::unique_ptr<Protocol>(new ScpiProtocol(port, channels));
}

ScpiProtocol::ScpiProtocol(const PortSettings& port, const std::vector<ChannelSettings>& channels)
    : setup_(port.setup), hold_off_(port.answer_s) {
  for (std::size_t i = 0; i < channels.size(); ++i) {
    const ChannelSettings& channel = channels[i];
    auto query = std::find_if(queries_.begin(), queries_.end(),
                              [&](const Query& known) { return known.text == channel.query; });
    if (query == queries_.end()) query = queries_.insert(query, Query{channel.query});
    const auto column = static_cast<std::size_t>(channel.column.value_or(1) - 1);
    query->wanted.push_back({i, column});
  }
}

std::string ScpiProtocol::ask(Asked what, std::string_view text) {
  asked_ = what;
  lines_.expect_answer();
  return fmt::format("{}\n", text);
}

std::string ScpiProtocol::next_request(TimeUs now_us) {
  asked_ = Asked::nothing;
  if (hold_off_.may_ask(now_us)) {
    if (next_setup_ < setup_.size()) return fmt::format("{}\n", setup_[next_setup_++]);
    if (!std::exchange(identity_asked_, true)) return ask(Asked::identity, "*IDN?");
    if (error_wanted_) return ask(Asked::error, "SYSTem:ERRor?");
    if (find_next_query(now_us)) return ask(Asked::reading, queries_[next_++].text);
  }
  next_ = 0;
  errors_in_a_row_ = 0;
  return {};
}

bool ScpiProtocol::find_next_query(TimeUs now_us) {
  while (next_ < queries_.size() && now_us < queries_[next_].not_before_us) ++next_;
  return next_ < queries_.size();
}

void ScpiProtocol::feed(std::span<const char> bytes, TimeUs stamp_us, ProtocolSink& sink) {
  TextLine line;
  while (lines_.next(bytes, line)) {
    const LineKind kind = take_line(line, stamp_us, sink);
    sink.line(kind, stamp_us);
  }
}

LineKind ScpiProtocol::take_line(const TextLine& line, TimeUs stamp_us, ProtocolSink& sink) {
  if (line.first) return LineKind::first;
  const std::string_view answer = trimmed(line.text);
  if (answer.empty()) return LineKind::empty;
  const Asked asked = std::exchange(asked_, Asked::nothing);
  hold_off_.answered();
  if (line.too_long || line.bad_byte) {
    hold_off_.unanswered(stamp_us, false);
    sink.fault(line.too_long ? LineFault::line_too_long : LineFault::bad_byte, std::nullopt);
    return LineKind::faulty;
  }
  switch (asked) {
    case Asked::identity:
      sink.remark(fmt::format("identity: {}", answer));
      return LineKind::header;
    case Asked::error:
      return take_error(answer, sink);
    case Asked::reading:
      return take_reading(answer, stamp_us, sink);
    case Asked::nothing:
      break;
  }
  sink.fault(LineFault::unexpected_text, std::nullopt);
  return LineKind::faulty;
}

LineKind ScpiProtocol::take_reading(std::string_view answer, TimeUs stamp_us, ProtocolSink& sink) {
  const auto columns = columns_of(answer);
  bool good = false;
  queries_[next_ - 1].unanswered = 0;
  const bool all_numbers = std::all_of(columns.begin(), columns.end(), [](std::string_view column) {
    return read_text_number(column, Decimal::point).fault != LineFault::bad_number;
  });
  if (!all_numbers) hold_off_.unanswered(stamp_us, false);
  for (const Wanted& wanted : queries_[next_ - 1].wanted) {
    if (!all_numbers || wanted.column >= columns.size()) {
      sink.fault(all_numbers ? LineFault::missing_column : LineFault::bad_number, wanted.channel);
      error_wanted_ = true;
      continue;
    }
    const TextNumber number = read_text_number(columns[wanted.column], Decimal::point);
    const auto fault = number.fault ? number.fault : fault_in(number.value);
    if (fault) {
      sink.fault(*fault, wanted.channel);
    } else {
      sink.quantity({wanted.channel, number.value}, stamp_us);
      good = true;
    }
  }
  return good ? LineKind::data : LineKind::faulty;
}

LineKind ScpiProtocol::take_error(std::string_view answer, ProtocolSink& sink) {
  const auto code = parse_number(trimmed(answer.substr(0, answer.find(','))));
  if (code == 0.0) {
    error_wanted_ = false;
    return LineKind::header;
  }
  error_wanted_ = code && ++errors_in_a_row_ < most_errors;
  sink.fault(code ? LineFault::refused : LineFault::unexpected_text, std::nullopt);
  const std::string remark = fmt::format("error: {}", answer);
  if (remark != last_remark_) sink.remark(remark);
  last_remark_ = remark;
  return LineKind::faulty;
}

void ScpiProtocol::give_up(TimeUs now_us, ProtocolSink& sink) {
  const Asked asked = std::exchange(asked_, Asked::nothing);
  if (asked == Asked::nothing) return;
  if (lines_.drop_begun()) sink.fault(LineFault::incomplete, std::nullopt);
  if (asked == Asked::identity) sink.remark("does not answer *IDN?");
  // A device that does not know SYSTem:ERRor? either must not be asked for ever.
  error_wanted_ = asked == Asked::reading;
  if (asked == Asked::reading && ++queries_[next_ - 1].unanswered >= most_unanswered) {
    queries_[next_ - 1].not_before_us = now_us + to_us(rest_s);
  }
  hold_off_.unanswered(now_us);
}

void ScpiProtocol::reset(ProtocolSink& sink) {
  if (lines_.reset()) sink.fault(LineFault::incomplete, std::nullopt);
  asked_ = Asked::nothing;
  next_setup_ = next_ = 0;
  identity_asked_ = error_wanted_ = false;
  errors_in_a_row_ = 0;
  last_remark_.clear();
  hold_off_.answered();
}

}  // namespace nestcup::drivers
