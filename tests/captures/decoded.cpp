#include "tests/captures/decoded.hpp"

#include <fmt/format.h>

#include <algorithm>

#include "core/base/numbers.hpp"
#include "core/sheet/bench_file.hpp"
#include "drivers/port_decoder.hpp"
#include "sim/capture_file.hpp"

namespace nestcup::captures {
namespace {

using drivers::PortDecoder;

std::string faults_text(const drivers::FaultCounts& faults) {
  std::string text;
  for (std::size_t i = 0; i < drivers::line_fault_kinds; ++i) {
    const auto kind = static_cast<drivers::LineFault>(i);
    if (faults.of(kind) > 0) text += fmt::format(" {} {}", faults.of(kind), fault_name(kind));
  }
  return text.empty() ? " none" : text;
}

/// The driver of a captured port, as ProbePort uses it, without port and timers.
class Playback {
 public:
  explicit Playback(BenchFile bench) : bench_(std::move(bench)) {}

  Result<std::string> run(const sim::Capture& capture) {
    auto made = PortDecoder::make(
        bench_.ports.front(), bench_.probes,
        [this](std::size_t probe, TimeUs time_us, double temperature_degC, double raw) {
          rows_ += fmt::format("{},{},{:.6f},{}\n", time_us, bench_.probes[probe].name,
                               temperature_degC, number_text(raw));
        },
        [this](std::string_view text) { remarks_ += fmt::format("# says {}\n", text); });
    if (!made) return made.error();
    decoder_ = std::move(made).value();
    const TimeUs settled_us = to_us(bench_.ports.front().settle_s);
    bool settled = false;
    for (const sim::CapturedBytes& piece : capture.pieces) {
      if (piece.from_device && piece.offset_us < settled_us) continue;
      if (!std::exchange(settled, true)) decoder_->reset();
      if (piece.from_device) {
        hear(piece);
      } else if (auto asked = ask(piece); !asked) {
        return asked.error();
      }
    }
    return text();
  }

 private:
  Result<void> ask(const sim::CapturedBytes& piece) {
    expire(piece.offset_us);
    if (question_.empty()) question_ = decoder_->next_request(piece.offset_us);
    asked_us_ = heard_us_ = piece.offset_us;
    if (std::exchange(question_, {}) != piece.bytes) {
      return Error{Fault::bad_data, fmt::format("at {} us the driver asks otherwise than captured",
                                                piece.offset_us)};
    }
    go_on(piece.offset_us);
    return {};
  }

  /// The next question of the round follows at once where the last one wants no more.
  void go_on(TimeUs now_us) {
    if (decoder_->is_polled() && decoder_->is_answered()) {
      question_ = decoder_->next_request(now_us);
    }
  }

  /// Gives a question up when ProbePort did: its time-out, or silence in the midst of an answer.
  void expire(TimeUs now_us) {
    if (decoder_->is_answered() || !question_.empty()) return;
    TimeUs end_us = asked_us_ + to_us(bench_.ports.front().answer_s);
    const double quiet_s = decoder_->manners().quiet_s;
    if (quiet_s > 0.0 && decoder_->is_begun())
      end_us = std::min(end_us, heard_us_ + to_us(quiet_s));
    if (now_us < end_us) return;
    decoder_->give_up(end_us);
    go_on(end_us);
  }

  void hear(const sim::CapturedBytes& piece) {
    expire(piece.offset_us);
    heard_us_ = piece.offset_us;
    if (decoder_->is_polled() && (decoder_->is_answered() || !question_.empty())) {
      decoder_->feed_late(piece.bytes, piece.offset_us);
      return;
    }
    const TimeUs middle_us = asked_us_ + (piece.offset_us - asked_us_) / 2;
    const bool middle = decoder_->manners().stamp_middle;
    decoder_->feed(piece.bytes, middle ? middle_us : piece.offset_us);
    go_on(piece.offset_us);
  }

  [[nodiscard]] std::string text() const {
    std::string text = "time_us,probe,temperature_degC,raw\n" + rows_;
    for (std::size_t i = 0; i < bench_.probes.size(); ++i) {
      text += fmt::format("# faults of {}:{}\n", bench_.probes[i].name,
                          faults_text(decoder_->probes()[i].faults));
    }
    const drivers::LineCounts& lines = decoder_->lines();
    text += fmt::format("# faults of lines:{}\n# lines: {} data, {} faulty, {} late\n",
                        faults_text(lines.faults), lines.data, lines.faulty, lines.late);
    return text + remarks_;
  }

  BenchFile bench_;
  std::unique_ptr<PortDecoder> decoder_;
  std::string rows_;
  std::string remarks_;
  std::string question_;  // the driver's next, not yet on the line
  TimeUs asked_us_ = 0;
  TimeUs heard_us_ = 0;
};

}  // namespace

Result<std::string> decoded_capture(const std::string& folder) {
  BenchFileCheck check = read_bench_file(folder + "/bench.toml");
  if (!check.bench) return check.problems.front();
  const auto capture = sim::read_capture(folder + "/traffic.capture");
  if (!capture) return capture.error();
  return Playback(std::move(*check.bench)).run(*capture);
}

}  // namespace nestcup::captures
