#include "drivers/protocol/modbus_protocol.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <tuple>
#include <utility>

namespace nestcup::drivers {
namespace {

constexpr Byte exception_bit = 0x80;
// Start, 8 data bits, parity or a second stop bit, stop: MODBUS over Serial Line V1.02, 2.5.1.
constexpr double bits_per_character = 11.0;
// Above 19200 Bd the silence stays as it is there: 2.5.1.1 of the same.
constexpr double shortest_pause_s = 0.00175;
// USB adapters hold bytes back for up to 16 ms; an answer that stops for longer has ended.
constexpr double adapter_holds_back_s = 0.05;
// More than any exchange brings. What is older cannot be part of an answer.
constexpr std::size_t longest_memory = 2 * longest_frame;

ExchangeManners manners_at(int baud) {
  const double pause_s = std::max(shortest_pause_s, 3.5 * bits_per_character / baud);
  return {pause_s, pause_s + adapter_holds_back_s, true};
}

std::optional<Error> wrong_with_registers(const PortSettings& port,
                                          const ChannelSettings& channel) {
  const auto bad = [&](std::string_view what) {
    return Error{Fault::bad_configuration,
                 fmt::format("port \"{}\": probe \"{}\" {}", port.name, channel.name, what)};
  };
  if (!channel.registers) return bad("needs `register`");
  const RegisterPlace& place = *channel.registers;
  if (place.device < 1 || place.device > 247) return bad("has no device address of 1 to 247");
  if (place.function != 3 && place.function != 4) return bad("needs function 3 or 4");
  if (place.first < 0 || place.first + register_count(place.format) > 65536) {
    return bad("lies beyond the last register, 65535");
  }
  return std::nullopt;
}

// The length of the valid frame that these bytes begin with: a question, an answer or an exception.
std::optional<std::size_t> frame_at(std::span<const Byte> bytes) {
  if (bytes.size() < exception_size) return std::nullopt;
  const bool is_exception = (bytes[1] & exception_bit) != 0;
  for (const std::size_t size :
       {is_exception ? exception_size : exception_size + bytes[2], question_size}) {
    if (size <= bytes.size() && checksum_holds(bytes.first(size))) return size;
  }
  return std::nullopt;
}

}  // namespace

Result<std::unique_ptr<Protocol>> ModbusProtocol::make(
    const PortSettings& port, const std::vector<ChannelSettings>& channels) {
  for (const auto& channel : channels) {
    if (auto error = wrong_with_registers(port, channel)) return *error;
  }
  return std::unique_ptr<Protocol>(new ModbusProtocol(port, questions_for(channels)));
}

ModbusProtocol::ModbusProtocol(const PortSettings& port, std::vector<Question> questions)
    : manners_(manners_at(port.mode.baud)), questions_(std::move(questions)) {
  for (const Question& question : questions_) {
    hold_off_.emplace(question.place.device, HoldOff(port.answer_s));
  }
}

std::vector<ModbusProtocol::Question> ModbusProtocol::questions_for(
    const std::vector<ChannelSettings>& channels) {
  std::vector<Wanted> wanted;
  for (std::size_t i = 0; i < channels.size(); ++i) {
    wanted.push_back({i, *channels[i].registers});
  }
  std::stable_sort(wanted.begin(), wanted.end(), [](const Wanted& a, const Wanted& b) {
    return std::tie(a.place.device, a.place.function, a.place.first) <
           std::tie(b.place.device, b.place.function, b.place.first);
  });
  std::vector<Question> questions;
  for (const Wanted& next : wanted) {
    const int end = next.place.first + register_count(next.place.format);
    const auto belongs_to = [&](const Question& question) {
      return question.place.device == next.place.device &&
             question.place.function == next.place.function &&
             next.place.first <= question.place.first + question.count &&
             end - question.place.first <= most_registers;
    };
    if (questions.empty() || !belongs_to(questions.back())) questions.push_back({next.place, 0});
    Question& question = questions.back();
    question.count = std::max(question.count, end - question.place.first);
    question.wanted.push_back(next);
  }
  return questions;
}

std::string ModbusProtocol::next_request(TimeUs now_us) {
  heard_.clear();
  stray_told_ = false;
  while (next_ < questions_.size()) {
    asked_ = next_++;
    const Question& question = questions_[*asked_];
    if (!hold_off_.at(question.place.device).may_ask(now_us)) continue;
    request_ = register_question(question.place, question.count);
    return request_;
  }
  next_ = 0;
  asked_.reset();
  return {};
}

void ModbusProtocol::feed(std::span<const char> bytes, TimeUs stamp_us, ProtocolSink& sink) {
  for (const char byte : bytes) {
    if (!asked_) {
      if (!std::exchange(stray_told_, true)) tell_rest({}, stamp_us, sink);
      continue;
    }
    heard_.push_back(static_cast<Byte>(byte));
    if (take_answer(stamp_us, sink)) continue;
    if (heard_.size() < longest_memory) continue;
    const auto half = heard_.begin() + longest_frame;
    tell_rest(std::span(heard_).first(longest_frame), stamp_us, sink);
    heard_.erase(heard_.begin(), half);
  }
}

// Whether the byte that was heard last ends an answer.
bool ModbusProtocol::take_answer(TimeUs stamp_us, ProtocolSink& sink) {
  const std::span<const Byte> heard(heard_);
  const Question& question = questions_[*asked_];
  const auto ends_with = [&](std::size_t size, Byte function) {
    if (heard.size() < size) return false;
    const auto frame = heard.last(size);
    return frame[0] == question.place.device && frame[1] == function && checksum_holds(frame);
  };
  const auto function = static_cast<Byte>(question.place.function);
  const std::size_t size = answer_size();
  const bool is_answer = ends_with(size, function) && heard.last(size)[2] == 2 * question.count;
  const bool is_exception = !is_answer && ends_with(exception_size, function | exception_bit);
  if (!is_answer && !is_exception) return false;
  const std::size_t used = is_answer ? size : exception_size;
  const auto rest = heard.first(heard.size() - used);
  if (!without_echo(rest).empty()) tell_rest(without_echo(rest), stamp_us, sink);
  if (is_answer) {
    take_registers(heard.last(size).subspan(3), stamp_us, sink);
  } else {
    take_exception(heard.last(exception_size)[2], sink);
    sink.line(LineKind::faulty, stamp_us);
  }
  hold_off_.at(question.place.device).answered();
  asked_.reset();
  heard_.clear();
  return true;
}

void ModbusProtocol::take_registers(std::span<const Byte> data, TimeUs stamp_us,
                                    ProtocolSink& sink) {
  Question& question = questions_[*asked_];
  bool good = false;
  for (const Wanted& wanted : question.wanted) {
    const auto offset = static_cast<std::size_t>(2 * (wanted.place.first - question.place.first));
    const double number =
        register_number(data.subspan(offset), wanted.place.format, wanted.place.order);
    if (!std::isfinite(number)) {
      sink.fault(LineFault::not_finite, wanted.channel);
      continue;
    }
    sink.quantity({wanted.channel, number}, stamp_us);
    good = true;
  }
  question.last_refusal.clear();
  sink.line(good ? LineKind::data : LineKind::faulty, stamp_us);
}

void ModbusProtocol::take_exception(int code, ProtocolSink& sink) {
  Question& question = questions_[*asked_];
  for (const Wanted& wanted : question.wanted) sink.fault(LineFault::refused, wanted.channel);
  const std::string refusal = fmt::format(
      "device {} refuses function {}, {} registers from {}: {}", question.place.device,
      question.place.function, question.count, question.place.first, exception_text(code));
  if (refusal != question.last_refusal) sink.remark(refusal);
  question.last_refusal = refusal;
}

// Tells what bytes were that are no answer: a frame is one fault, strays in a row are another.
void ModbusProtocol::tell_rest(std::span<const Byte> rest, TimeUs stamp_us,
                               ProtocolSink& sink) const {
  const auto tell = [&](LineFault fault) {
    sink.fault(fault, std::nullopt);
    sink.line(LineKind::faulty, stamp_us);
  };
  if (!asked_) return tell(LineFault::foreign_bytes);
  const RegisterPlace& place = questions_[*asked_].place;
  bool strays = false;
  while (!rest.empty()) {
    const auto size = frame_at(rest);
    const bool is_spoilt = begins_answer(rest) && rest.size() >= answer_size();
    if (!size && !is_spoilt && !begins_answer(rest)) {
      strays = true;
      rest = rest.subspan(1);
      continue;
    }
    if (std::exchange(strays, false)) tell(LineFault::foreign_bytes);
    if (size && rest[0] != place.device) {
      tell(LineFault::wrong_device);
    } else if (size) {
      tell(rest[1] == place.function ? LineFault::wrong_length : LineFault::wrong_function);
    } else {
      tell(is_spoilt ? LineFault::bad_checksum : LineFault::incomplete);
    }
    rest = rest.subspan(size ? *size : std::min(rest.size(), answer_size()));
  }
  if (strays) tell(LineFault::foreign_bytes);
}

// Device and function are enough here: a spoilt length is a spoilt answer.
bool ModbusProtocol::is_begun() const {
  if (!asked_) return false;
  const RegisterPlace& place = questions_[*asked_].place;
  const auto heard = without_echo(heard_);
  for (std::size_t i = 1; i < heard.size(); ++i) {
    const bool fits = (heard[i] | exception_bit) == (place.function | exception_bit);
    if (heard[i - 1] == place.device && fits) return true;
  }
  return false;
}

void ModbusProtocol::give_up(TimeUs now_us, ProtocolSink& sink) {
  if (!asked_) return;
  HoldOff& hold_off = hold_off_.at(questions_[*asked_].place.device);
  const bool begun = is_begun();
  const std::vector<Byte> heard = std::exchange(heard_, {});
  const auto rest = without_echo(heard);
  // What was spoilt on its way was an answer; nothing more is to come.
  begun ? hold_off.answered() : hold_off.unanswered(now_us, rest.empty());
  tell_rest(rest, now_us, sink);
  asked_.reset();
}

void ModbusProtocol::reset(ProtocolSink& sink) {
  if (is_begun()) sink.fault(LineFault::incomplete, std::nullopt);
  heard_.clear();
  asked_.reset();
  next_ = 0;
  for (auto& [device, hold_off] : hold_off_) hold_off.answered();
}

std::size_t ModbusProtocol::answer_size() const {
  return exception_size + static_cast<std::size_t>(2 * questions_[*asked_].count);
}

bool ModbusProtocol::begins_answer(std::span<const Byte> bytes) const {
  const Question& question = questions_[*asked_];
  if (bytes.size() < 2 || bytes[0] != question.place.device) return false;
  if (bytes[1] == (question.place.function | exception_bit)) return true;
  return bytes[1] == question.place.function &&
         (bytes.size() < 3 || bytes[2] == 2 * question.count);
}

std::span<const Byte> ModbusProtocol::without_echo(std::span<const Byte> bytes) const {
  const bool echoed = bytes.size() >= question_size &&
                      std::equal(request_.begin(), request_.end(), bytes.begin(),
                                 [](char a, Byte b) { return static_cast<Byte>(a) == b; });
  return echoed ? bytes.subspan(question_size) : bytes;
}

}  // namespace nestcup::drivers
