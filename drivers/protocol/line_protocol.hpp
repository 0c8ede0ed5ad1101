// LineProtocol: what protocols of lines have in common, whether the device talks by itself or is
// asked by one fixed request for a line.
#pragma once

#include <span>
#include <string>

#include "drivers/protocol/hold_off.hpp"
#include "drivers/protocol/protocol.hpp"
#include "drivers/protocol/text_lines.hpp"

namespace nestcup::drivers {

/// Cuts lines and asks; what a line means is the derived class's.
class LineProtocol : public Protocol {
 public:
  void feed(std::span<const char> bytes, TimeUs stamp_us, ProtocolSink& sink) final;
  void reset(ProtocolSink& sink) final;
  [[nodiscard]] bool is_polled() const final { return !request_.empty(); }
  [[nodiscard]] std::string next_request(TimeUs now_us) final;
  [[nodiscard]] bool is_answered() const final { return answered_; }
  void give_up(TimeUs now_us, ProtocolSink& sink) final;

 protected:
  /// @param request   empty for devices that talk by themselves
  /// @param answer_s  how long an answer may take, s
  /// @param longest   line that is kept, bytes
  LineProtocol(std::string request, double answer_s, std::size_t longest = longest_text_line);

 private:
  /// What a line is, with its quantities and faults told. Words and empty lines answer no question.
  virtual LineKind take_line(const TextLine& line, TimeUs stamp_us, ProtocolSink& sink) = 0;
  /// The port was opened anew.
  virtual void forget() {}

  std::string request_;
  HoldOff hold_off_;
  TextLines lines_;
  bool asked_ = false;  // in the round under way
  bool answered_ = true;
};

}  // namespace nestcup::drivers
