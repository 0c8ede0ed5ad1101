#include "sim/capture_play.hpp"

#include <algorithm>
#include <utility>

namespace nestcup::sim {

namespace {

/// So much is kept of what no question of the capture begins with.
constexpr std::size_t most_heard = 65536;

}  // namespace

CapturePlay::CapturePlay(Capture capture, TimeUs start_us)
    : capture_(std::move(capture)), shift_us_(start_us) {}

void CapturePlay::hear(std::string_view bytes, TimeUs now_us) {
  heard_ += bytes;
  if (heard_.size() > most_heard) heard_.erase(0, heard_.size() - most_heard);
  match(now_us);
}

void CapturePlay::match(TimeUs now_us) {
  while (!done() && !capture_.pieces[next_].from_device) {
    const CapturedBytes& question = capture_.pieces[next_];
    const std::size_t at = heard_.find(question.bytes);
    if (at == std::string::npos) return;
    heard_.erase(0, at + question.bytes.size());
    shift_us_ = now_us - question.offset_us;
    ++next_;
  }
}

std::string CapturePlay::due(TimeUs now_us) {
  std::string said;
  while (next_us() && *next_us() <= now_us) {
    said += capture_.pieces[next_].bytes;
    ++next_;
    // A question may have come before its turn.
    match(now_us);
  }
  return said;
}

std::optional<TimeUs> CapturePlay::next_us() const {
  if (done() || !capture_.pieces[next_].from_device) return std::nullopt;
  return shift_us_ + capture_.pieces[next_].offset_us;
}

}  // namespace nestcup::sim
