#include "drivers/protocol/text_protocol.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "core/base/numbers.hpp"
#include "drivers/protocol/text_number.hpp"

namespace nestcup::drivers {
namespace {

bool is_blank(char c) {
  return c == ' ' || c == '\t';
}

Error bad(const PortSettings& port, std::string_view what) {
  return {Fault::bad_configuration, fmt::format("port \"{}\": {}", port.name, what)};
}

std::optional<Error> wrong_with(const PortSettings& port, const ChannelSettings& channel) {
  if (channel.column.has_value() == channel.key.has_value()) {
    return bad(port, fmt::format("probe \"{}\" needs either `column` or `key`", channel.name));
  }
  if (channel.column && *channel.column < 1) {
    return bad(port, fmt::format("probe \"{}\": `column` counts from 1", channel.name));
  }
  const std::string forbidden = fmt::format("=:{}", port.separator);
  if (channel.key &&
      (channel.key->empty() || channel.key->find_first_of(forbidden) != std::string::npos)) {
    return bad(port, fmt::format("probe \"{}\": `key` is the word before '=' or ':' and holds "
                                 "neither these nor the separator",
                                 channel.name));
  }
  return std::nullopt;
}

std::optional<Error> wrong_with(const PortSettings& port) {
  if (std::string_view(",;\t ").find(port.separator) == std::string_view::npos) {
    return bad(port, "`separator` is one of comma, semicolon, tab or blank");
  }
  if (port.separator == ',' && port.decimal == Decimal::comma) {
    return bad(port, "a decimal comma needs another `separator` than the comma, such as ';'");
  }
  return std::nullopt;
}

}  // namespace

Result<std::unique_ptr<Protocol>> TextProtocol::make(const PortSettings& port,
                                                     const std::vector<ChannelSettings>& channels) {
  if (auto error = wrong_with(port)) return *error;
  for (const auto& channel : channels) {
    if (auto error = wrong_with(port, channel)) return *error;
  }
  return std::unique_ptr<Protocol>(new TextProtocol(port, channels));
}

TextProtocol::TextProtocol(const PortSettings& port, const std::vector<ChannelSettings>& channels)
    : LineProtocol(port.request, port.answer_s),
      separator_(port.separator),
      decimal_(port.decimal),
      comment_(port.comment) {
  for (const auto& channel : channels) {
    Wanted wanted{std::nullopt, channel.key.value_or("")};
    if (channel.column) wanted.column = static_cast<std::size_t>(*channel.column - 1);
    wanted_.push_back(std::move(wanted));
  }
  fields_.resize(wanted_.size());
}

void TextProtocol::forget() {
  seen_data_ = false;
  headers_in_a_row_ = 0;
  last_header_.clear();
}

LineKind TextProtocol::take_line(const TextLine& line, TimeUs stamp_us, ProtocolSink& sink) {
  if (line.first) return LineKind::first;
  const std::string_view text = trimmed(line.text);
  if (!comment_.empty() && text.starts_with(comment_)) return LineKind::comment;
  if (line.too_long || line.bad_byte) {
    sink.fault(line.too_long ? LineFault::line_too_long : LineFault::bad_byte, std::nullopt);
    return LineKind::faulty;
  }
  if (text.empty()) return LineKind::empty;
  split(line.text);
  find_fields();
  if (looks_like_data()) return take_data(stamp_us, sink);
  if (is_letter(text.front())) return take_words(text, sink);
  // No letter in front and no number where one is wanted: each probe's own fault says why.
  return take_data(stamp_us, sink);
}

LineKind TextProtocol::take_data(TimeUs stamp_us, ProtocolSink& sink) {
  bool good = false;
  bool told = false;
  for (std::size_t channel = 0; channel < wanted_.size(); ++channel) {
    const Field& field = fields_[channel];
    const auto number =
        field.text ? read_text_number(*field.text, decimal_) : TextNumber{0.0, field.fault};
    if (field.text && !number.fault) {
      sink.quantity({channel, number.value}, stamp_us);
      good = true;
    } else if (number.fault) {
      sink.fault(*number.fault, channel);
      told = true;
    }
  }
  if (good) {
    seen_data_ = true;
    headers_in_a_row_ = 0;
  } else if (!told) {
    sink.fault(LineFault::missing_key, std::nullopt);
  }
  return good ? LineKind::data : LineKind::faulty;
}

LineKind TextProtocol::take_words(std::string_view text, ProtocolSink& sink) {
  const bool repeated = text == last_header_;
  if (repeated && seen_data_) return LineKind::header;
  if (!seen_data_ && ++headers_in_a_row_ <= most_headers) {
    last_header_ = text;
    return LineKind::header;
  }
  sink.fault(LineFault::unexpected_text, std::nullopt);
  return LineKind::faulty;
}

void TextProtocol::split(std::string_view text) {
  parts_.clear();
  if (separator_ != ' ') {
    for (std::size_t end = text.find(separator_); end != std::string_view::npos;
         end = text.find(separator_)) {
      parts_.push_back(trimmed(text.substr(0, end)));
      text.remove_prefix(end + 1);
    }
    parts_.push_back(trimmed(text));
    return;
  }
  while (!text.empty()) {
    const auto start = std::find_if_not(text.begin(), text.end(), is_blank);
    const auto stop = std::find_if(start, text.end(), is_blank);
    if (start != stop) parts_.emplace_back(start, stop);
    text = {stop, text.end()};
  }
}

void TextProtocol::find_fields() {
  std::size_t found_keys = 0;
  for (std::size_t i = 0; i < wanted_.size(); ++i) {
    const auto& column = wanted_[i].column;
    if (!column) {
      fields_[i] = find_key(wanted_[i].key);
      if (fields_[i].text) ++found_keys;
    } else if (*column < parts_.size()) {
      fields_[i] = {parts_[*column], std::nullopt};
    } else {
      fields_[i] = {std::nullopt, LineFault::missing_column};
    }
  }
  if (found_keys > 1) keys_come_together_ = true;
  if (!keys_come_together_ || found_keys == 0) return;
  for (std::size_t i = 0; i < wanted_.size(); ++i) {
    if (!fields_[i].text && !fields_[i].fault) fields_[i].fault = LineFault::missing_key;
  }
}

TextProtocol::Field TextProtocol::find_key(const std::string& key) const {
  Field found;
  for (std::size_t i = 0; i < parts_.size(); ++i) {
    const std::size_t mark = parts_[i].find_first_of("=:");
    if (mark == std::string_view::npos || trimmed(parts_[i].substr(0, mark)) != key) continue;
    if (found.text || found.fault) return {std::nullopt, LineFault::repeated_key};
    std::string_view value = trimmed(parts_[i].substr(mark + 1));
    // With blanks as separator "T1: 21.5" falls into two parts.
    if (value.empty() && separator_ == ' ' && i + 1 < parts_.size()) value = parts_[i + 1];
    found.text = value;
  }
  return found;
}

bool TextProtocol::looks_like_data() const {
  for (std::size_t i = 0; i < fields_.size(); ++i) {
    const Field& field = fields_[i];
    if (field.fault == LineFault::repeated_key) return true;
    if (!field.text) continue;
    if (!wanted_[i].column) return true;
    if (read_text_number(*field.text, decimal_).fault != LineFault::bad_number) return true;
  }
  return false;
}

}  // namespace nestcup::drivers
