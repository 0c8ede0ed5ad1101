#include "drivers/protocol/line_protocol.hpp"

#include <utility>

namespace nestcup::drivers {

LineProtocol::LineProtocol(std::string request, double answer_s, std::size_t longest)
    : request_(std::move(request)), hold_off_(answer_s), lines_(longest) {}

void LineProtocol::feed(std::span<const char> bytes, TimeUs stamp_us, ProtocolSink& sink) {
  TextLine line;
  while (lines_.next(bytes, line)) {
    const LineKind kind = take_line(line, stamp_us, sink);
    const bool words = kind == LineKind::header || kind == LineKind::comment;
    if (!words && kind != LineKind::empty) {
      answered_ = true;
      hold_off_.answered();
    }
    sink.line(kind, stamp_us);
  }
}

std::string LineProtocol::next_request(TimeUs now_us) {
  asked_ = !asked_ && hold_off_.may_ask(now_us);
  if (!asked_) return {};
  answered_ = false;
  lines_.expect_answer();
  return request_;
}

void LineProtocol::give_up(TimeUs now_us, ProtocolSink& sink) {
  if (lines_.drop_begun()) sink.fault(LineFault::incomplete, std::nullopt);
  answered_ = true;
  hold_off_.unanswered(now_us);
}

void LineProtocol::reset(ProtocolSink& sink) {
  if (lines_.reset()) sink.fault(LineFault::incomplete, std::nullopt);
  asked_ = false;
  answered_ = true;
  hold_off_.answered();
  forget();
}

}  // namespace nestcup::drivers
